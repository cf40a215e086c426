import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const FILES = {
  regular: ['400Regular', 'Inter_400Regular.ttf'],
  medium: ['500Medium', 'Inter_500Medium.ttf'],
  semibold: ['600SemiBold', 'Inter_600SemiBold.ttf'],
} as const;

const PACKAGE = join('node_modules', '@expo-google-fonts', 'inter');

/**
 * Bytes of the fonts that sheets embed: from `fonts/` beside the built program, or, when run from source, from the
 * package that the build copies them from. Looks in the folder of this module and in its parents.
 * Throws: Error that names the file when it is in neither place.
 */
export function readFonts(start: string = import.meta.dirname): Record<keyof typeof FILES, Uint8Array> {
  return {
    regular: readFont('regular', start),
    medium: readFont('medium', start),
    semibold: readFont('semibold', start),
  };
}

function readFont(name: keyof typeof FILES, start: string): Uint8Array {
  const [folder, file] = FILES[name];
  for (let at = start; ; at = dirname(at)) {
    for (const path of [join(at, 'fonts', file), join(at, PACKAGE, folder, file)]) {
      if (existsSync(path)) return new Uint8Array(readFileSync(path));
    }
    if (dirname(at) === at)
      throw new Error(`font ${file} not found in fonts/ above ${start}: the installation is incomplete`);
  }
}
