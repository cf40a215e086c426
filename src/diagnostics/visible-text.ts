/** Nearly all text, in which there is nothing to look for. */
const PLAIN = /^[\t\n\x20-\x7e]*$/;

/**
 * What is not seen, or changes how its neighbours are seen or what a terminal does: controls, marks of writing direction, characters without
 * width, separators of lines, halves of pairs. The mark that makes an emoji of a sign stays: it is part of how people write.
 */
const UNSEEN =
  /[\p{Cc}\p{Cs}\p{Zl}\p{Zp}\p{Bidi_Control}\p{Default_Ignorable_Code_Point}\ufff9-\ufffb](?<![\t\n]|\p{Extended_Pictographic}\ufe0f)/gu;

/**
 * Text for people in which nothing hides and nothing moves: such characters as escapes that YAML and JSON read, `\u202e`. Tabs and ends
 * of lines stay.
 */
export function visibleText(text: string): string {
  if (PLAIN.test(text)) return text;
  return text.replace(UNSEEN, sign => {
    const code = sign.codePointAt(0)!;
    return code > 0xffff ? `\\U${hex(code, 8)}` : `\\u${hex(code, 4)}`;
  });
}

/** The same of a JSON text, with the escapes of JSON: the data are what they were. */
export function visibleJson(json: string): string {
  if (PLAIN.test(json)) return json;
  return json.replace(UNSEEN, sign =>
    Array.from({ length: sign.length }, (_, i) => `\\u${hex(sign.charCodeAt(i), 4)}`).join(''),
  );
}

function hex(code: number, digits: number): string {
  return code.toString(16).padStart(digits, '0');
}
