/** Keys and list indexes from the top of a recipe to a value. */
export type Path = readonly (string | number)[];

/** `connector.cavity[1].diameter`; '' for the whole. */
export function pathText(path: Path): string {
  let text = '';
  for (const step of path) {
    if (typeof step === 'number') text += `[${step}]`;
    else text += text === '' ? step : `.${step}`;
  }
  return text;
}

/** The path of a text, or null when it is none. */
export function parsePath(text: string): Path | null {
  if (!/^[^.[\]\s=]+(?:\.[^.[\]\s=]+|\[\d{1,6}\])*$/.test(text)) return null;
  return [...text.matchAll(/\[(\d+)\]|[^.[\]]+/g)].map(m => (m[1] === undefined ? m[0] : Number(m[1])));
}
