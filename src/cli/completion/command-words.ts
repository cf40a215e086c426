import type { Argument, Option } from 'commander';
import { declared } from '../run-command.ts';
import type { CommandEntry } from '../terminal/command.ts';
import type { CliIo } from '../terminal/io.ts';

/** What may stand in a place of the command line. */
export type Wanted =
  | { readonly kind: 'nothing' | 'file' | 'folder' | 'text' | 'recipe-key' }
  | { readonly kind: 'words'; readonly words: readonly string[] };

export interface OptionWords {
  /** `-o` and `--out`. */
  readonly flags: readonly string[];
  readonly summary: string;
  /** What the option takes; `nothing` for a switch. */
  readonly takes: Wanted;
}

export interface CommandWords {
  readonly name: string;
  readonly summary: string;
  readonly options: readonly OptionWords[];
  /** What stands where no option does. */
  readonly argument: Wanted;
}

/** Words that places of that name take, by the name in the command's own declaration. */
export type KnownWords = Readonly<Record<string, readonly string[]>>;

/** Every command with its options, as the parser itself has them: a completion script cannot miss one. */
export async function commandWords(
  entries: readonly CommandEntry[],
  io: Pick<CliIo, 'stdout' | 'stderr' | 'columns'>,
  known: KnownWords,
): Promise<CommandWords[]> {
  return Promise.all(
    entries.map(async entry => {
      const { command: module } = await entry.load();
      const { command } = declared(entry, module, io);
      const options = command.options.filter(option => !option.hidden).map(option => optionWords(option, known));
      const help: OptionWords = { flags: ['-h', '--help'], summary: 'show this help', takes: { kind: 'nothing' } };
      const argument = argumentWanted(command.registeredArguments, known);
      return { name: entry.name, summary: entry.summary, options: [...options, help], argument };
    }),
  );
}

function optionWords(option: Option, known: KnownWords): OptionWords {
  const flags = [option.short, option.long].filter((flag): flag is string => typeof flag === 'string');
  const place = /[<[]([^\]>]+)[\]>]/.exec(option.flags)?.[1]?.replace(/\.\.\.$/, '') ?? null;
  const takes: Wanted =
    place === null
      ? { kind: 'nothing' }
      : option.argChoices !== undefined
        ? { kind: 'words', words: option.argChoices }
        : wanted(place, known);
  return { flags, summary: option.description, takes };
}

function argumentWanted(args: readonly Argument[], known: KnownWords): Wanted {
  // What follows the first is of its kind, or a file as well.
  const [first] = args;
  if (first === undefined) return { kind: 'nothing' };
  return first.argChoices === undefined ? wanted(first.name(), known) : { kind: 'words', words: first.argChoices };
}

const FILES = new Set(['file', 'part', 'recipe', 'data', 'data.csv', 'checks', 'checks.csv', 'path', 'old', 'new']);
const KEYS = new Set(['path=value', 'path=values']);

function wanted(place: string, known: KnownWords): Wanted {
  if (Object.hasOwn(known, place)) return { kind: 'words', words: known[place]! };
  if (place === 'folder') return { kind: 'folder' };
  if (KEYS.has(place)) return { kind: 'recipe-key' };
  return FILES.has(place) || /\.\w+$|file/.test(place) ? { kind: 'file' } : { kind: 'text' };
}
