/** A text whose first line of content, and so all of it, stands some blanks in. */
const INDENTED = /^(?:[ \t]*(?:#[^\n]*)?\r?\n)*( +)[^\s#]/;
/** After a key in quotes the value may follow at once, as in JSON on one line. */
const RECIPE_KEY = /^(?:\{[^{}[\]]*?)?(?:["']recipe["'][ \t]*:|recipe[ \t]*:(?:\s|$))/m;

/** True for a YAML text with a `recipe:` key at its top level, however broken the rest is. */
export function hasRecipeKey(bytes: Uint8Array): boolean {
  const text = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    .toString('utf8')
    .replace(/^\ufeff/, '');
  // Of a file in UTF-16 every other byte is zero: it is a recipe that cannot be read, and no part.
  const plain = text.includes('\0') ? text.replace(/\0|^\ufffd+/g, '') : text;
  const indent = INDENTED.exec(plain)?.[1];
  return RECIPE_KEY.test(indent === undefined ? plain : `\n${plain}`.replaceAll(`\n${indent}`, '\n'));
}
