/** A path as one word of a shell's command line: quoted where it has signs that a shell would act on. */
export function shellWord(path: string): string {
  return /^[\p{L}\p{N}_./:@%+=,-]+$/u.test(path) ? path : `'${path.replaceAll("'", "'\\''")}'`;
}
