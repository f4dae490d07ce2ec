"""One roll for many orders: made folders read, their pieces marked and packed, what lies where kept."""
