/** A number and what stands behind it. */
const PART = /^([-+]?(?:\d+(?:\.(\d*))?|\.(\d+))(?:[eE]([-+]?\d+))?)\s*([^\d\s.,+-].*)?$/;

/** One quantity of a list. */
export interface QuantityPart {
  /** With the unit that goes for it. */
  readonly text: string;
  /** Null where the list gives none. */
  readonly unit: string | null;
  /** Its last digit as a quantity: "1e-2 mm" of "5.45 mm". */
  readonly lastDigit: string;
}

/**
 * The parts of a list of quantities between commas, as people write readings: `5.5, 5.6, 5.45 mm`. A unit after the last
 * goes for all that have none. A part that is no number with a unit stays as it is, for whoever reads it to refuse.
 */
export function quantityParts(list: string): QuantityPart[] {
  const texts = list.split(',').map(text => text.trim());
  const common = PART.exec(texts.at(-1) ?? '')?.[5];
  return texts.map(text => {
    const [whole, , decimals, bare, exponent, own] = PART.exec(text) ?? [];
    if (whole === undefined) return { text, unit: null, lastDigit: text };
    const unit = own ?? common ?? null;
    const place = Number(exponent ?? 0) - (decimals ?? bare ?? '').length;
    const withUnit = (number: string) => (unit === null ? number : `${number} ${unit}`);
    return { text: own === undefined ? withUnit(text) : text, unit, lastDigit: withUnit(`1e${place}`) };
  });
}
