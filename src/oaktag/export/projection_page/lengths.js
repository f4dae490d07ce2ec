// Lengths as the maker types and reads them. Inside, everything is mm.

const MM_PER = { in: 25.4, cm: 10, mm: 1 };
const UNIT_NAMES = {
  '"': "in", "″": "in", in: "in", "in.": "in", inch: "in", inches: "in", cm: "cm", "cm.": "cm", mm: "mm", "mm.": "mm",
};
const UNIT_WORDS = { in: "inches", cm: "centimetres", mm: "millimetres" };
const PARTS = { "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8" };
const LENGTH = /^(\d{1,6}(?:[.,]\d{1,6})?)?(?:(?:^|[\s-]+)(\d{1,4})\s*[/⁄]\s*(\d{1,4}))?\s*([^\d\s]*)$/;

// "23 1/2", "60 cm" or "60,5" in mm; null where it is no length.
function parsedLength(text, unit) {
  let spelt = text;
  for (const [sign, words] of Object.entries(PARTS)) spelt = spelt.replaceAll(sign, words);
  const found = LENGTH.exec(spelt.trim());
  if (found === null || (found[1] === undefined && found[2] === undefined)) return null;
  const named = found[4].toLowerCase();
  const own = named === "" ? unit : Object.hasOwn(UNIT_NAMES, named) ? UNIT_NAMES[named] : null;
  if (own === null || Number(found[3]) === 0) return null;
  const whole = Number((found[1] ?? "0").replace(",", "."));
  const part = found[2] === undefined ? 0 : Number(found[2]) / Number(found[3]);
  return (whole + part) * MM_PER[own];
}

// For a field: what was typed comes back as it was, "23 1/2" or "60"; sixteenths of an inch where that is exact.
function typedLength(mm, unit) {
  if (unit === "in") {
    const sixteenths = Math.round((mm / 25.4) * 16);
    if (Math.abs((sixteenths * 25.4) / 16 - mm) < 0.005) {
      const whole = Math.floor(sixteenths / 16);
      let [above, below] = [sixteenths % 16, 16];
      while (above > 0 && above % 2 === 0) [above, below] = [above / 2, below / 2];
      if (above === 0) return String(whole);
      return whole === 0 ? `${above}/${below}` : `${whole} ${above}/${below}`;
    }
  }
  return String(Number((mm / MM_PER[unit]).toFixed(3)));
}

function shownLength(mm, unit) {
  return `${typedLength(mm, unit)} ${unit}`.replaceAll(" ", "\u00a0"); // not parted by a line's end
}

function matWords({ width, depth }) {
  return `${shownLength(width, UNIT)} × ${shownLength(depth, UNIT)}`;
}

function shownMm(mm) {
  return mm < 10 ? `${mm.toFixed(1)} mm` : `${Math.round(mm)} mm`;
}
