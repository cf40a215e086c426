export type ColorChoice = 'auto' | 'always' | 'never';

/**
 * How many colours may be used: 0 none, 1 the sixteen, 2 and 3 as FORCE_COLOR asks.
 * The flag goes before FORCE_COLOR, that before NO_COLOR, that before what the stream is.
 */
export function colorLevel(
  choice: ColorChoice,
  env: Readonly<Record<string, string | undefined>>,
  isTTY: boolean,
): 0 | 1 | 2 | 3 {
  if (choice === 'never') return 0;
  const forced = forcedLevel(env['FORCE_COLOR']);
  if (choice === 'always') return forced === null || forced === 0 ? 1 : forced;
  if (forced !== null) return forced;
  if (env['NO_COLOR'] !== undefined && env['NO_COLOR'] !== '') return 0;
  return isTTY && env['TERM'] !== 'dumb' ? 1 : 0;
}

function forcedLevel(text: string | undefined): 0 | 1 | 2 | 3 | null {
  if (text === undefined) return null;
  if (text === '0' || text === 'false') return 0;
  if (text === '2') return 2;
  if (text === '3') return 3;
  return 1;
}
