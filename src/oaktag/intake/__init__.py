"""Drawings from elsewhere: read in true size, cleaned, parted into pieces with named edges."""
