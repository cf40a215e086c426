/**
 * What a stream can show of the micro sign: `uL` where it is a terminal whose locale names another encoding than UTF-8, µL
 * everywhere else, so that what goes to a file or a pipe does not depend on the machine.
 */
export function micro(env: Readonly<Record<string, string | undefined>>, isTTY: boolean): (text: string) => string {
  const locale = env['LC_ALL'] || env['LC_CTYPE'] || env['LANG'] || '';
  const plain = isTTY && locale !== '' && !/utf-?8/i.test(locale);
  return plain ? text => text.replaceAll('µ', 'u') : text => text;
}
