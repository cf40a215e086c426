import {
  closeSync,
  constants,
  fstatSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { isAbsolute, join } from 'node:path';

/** Texts that a program works out once and asks for again, by a key that says all that they depend on. */
export interface KeptTexts {
  /** Where they stand. */
  readonly folder: string;
  /** The text of a key; null where none is kept, or what is there cannot be believed. */
  get(key: string): string | null;
  /** Keeps a text if that can be done, and says nothing where it cannot. */
  put(key: string, text: string): void;
}

const LIMITS = {
  /** Longer texts are neither kept nor read [bytes]. */
  text: 64 * 1024,
  /** Beyond so many texts of one program its folder is emptied. */
  texts: 20_000,
  /** What other programs kept is removed after this time [ms]. */
  others: 30 * 24 * 3600_000,
};

/**
 * The folder in which a user's programs keep what can be made again; null where the environment names none.
 * Source: XDG Base Directory Specification 0.8 (a relative path is to be ignored); on Windows its own folder for that.
 */
export function cacheFolder(env: Readonly<Record<string, string | undefined>>): string | null {
  const { XDG_CACHE_HOME: given = '', LOCALAPPDATA: windows = '', HOME: home = '' } = env;
  if (isAbsolute(given)) return given;
  if (process.platform === 'win32') return isAbsolute(windows) ? windows : null;
  return isAbsolute(home) ? join(home, '.cache') : null;
}

/**
 * Texts of one program in a folder of this user. Nothing is believed that others may write: the folders must be this
 * user's, and writable by nobody else; a text that is damaged, or is no plain file, counts as not there.
 */
export function keptTexts(base: string, program: string): KeptTexts {
  const all = join(base, 'dwellbook');
  const folder = join(all, program);
  let known: boolean | null = null;
  const ours = () => {
    known ??= isOurs(all) && isOurs(folder);
    return known;
  };
  const make = () => {
    if (ours()) return true;
    mkdirSync(base, { recursive: true });
    for (const path of [all, folder]) {
      if (lstatSync(path, { throwIfNoEntry: false }) === undefined) mkdirSync(path, 0o700);
      if (!isOurs(path)) return false;
    }
    known = true;
    removeOld(all, program);
    return true;
  };
  let room: number | null = null;
  return {
    folder,
    get: key => (ours() ? readKept(join(folder, fileName(key))) : null),
    put: (key, text) => {
      try {
        if (text.length > LIMITS.text || !make()) return;
        room ??= LIMITS.texts - readdirSync(folder).length;
        if (room <= 0) {
          for (const name of readdirSync(folder)) rmSync(join(folder, name), { force: true });
          room = LIMITS.texts;
        }
        room -= 1;
        const path = join(folder, fileName(key));
        const beside = `${path}.${process.pid}.tmp`;
        writeFileSync(beside, `${sha256(text)}\n${text}`, { flag: 'wx', mode: 0o600 });
        renameSync(beside, path);
      } catch {
        // It is worked out again.
      }
    },
  };
}

function readKept(path: string): string | null {
  let descriptor: number | null = null;
  try {
    descriptor = openSync(path, constants.O_RDONLY | (constants.O_NOFOLLOW ?? 0) | (constants.O_NONBLOCK ?? 0));
    const stat = fstatSync(descriptor);
    if (!stat.isFile() || stat.size > 2 * LIMITS.text) return null;
    const [, sum, text] = /^([0-9a-f]{64})\n(.*)$/s.exec(readFileSync(descriptor, 'utf8')) ?? [];
    return text !== undefined && sha256(text) === sum ? text : null;
  } catch {
    return null;
  } finally {
    if (descriptor !== null) closeSync(descriptor);
  }
}

/** A folder, no link, of this user, that no other may write to. */
function isOurs(path: string): boolean {
  try {
    const stat = lstatSync(path);
    return (
      stat.isDirectory() &&
      (process.getuid === undefined || (stat.uid === process.getuid() && (stat.mode & 0o022) === 0))
    );
  } catch {
    return false;
  }
}

function removeOld(all: string, program: string): void {
  for (const name of readdirSync(all)) {
    const path = join(all, name);
    const stat = lstatSync(path, { throwIfNoEntry: false });
    const old = stat !== undefined && Date.now() - stat.mtimeMs > LIMITS.others;
    if (name !== program && old) rmSync(path, { recursive: true, force: true });
  }
}

function fileName(key: string): string {
  return sha256(key);
}

function sha256(text: string): string {
  // Not imported: every start would pay for it.
  return process.getBuiltinModule('node:crypto').createHash('sha256').update(text, 'utf8').digest('hex');
}
