const NUMBER = /^[+\-\u2212]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;
/** Read by one habit as a decimal point, by another as a mark of thousands. */
const THOUSANDS = /^[+\-\u2212]?[1-9]\d{0,2}(?:\.\d{3})+$/;

/**
 * The number that a cell holds, or what to write instead. In a file with decimal commas a point is one too, unless it may mark thousands:
 * a run sheet with points gets its masses typed in with commas.
 */
export function cellNumber(text: string, decimalComma: boolean): number | { readonly help: string } {
  if (decimalComma && THOUSANDS.test(text)) {
    return { help: 'the file has decimal commas, and this point may mark thousands; write it without' };
  }
  const plain = decimalComma && !text.includes('.') ? text.replace(',', '.') : text;
  if (NUMBER.test(plain)) return Number(plain.replace('\u2212', '-'));
  if (/\d[.,]\d{3}[.,]/.test(text)) return { help: 'write it without marks of thousands' };
  return /^[^.]*,\d+$/.test(text)
    ? { help: 'write a decimal point, or separate the cells of the file by semicolons' }
    : { help: 'write a plain decimal number; the unit stands in the header' };
}
