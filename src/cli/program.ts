import { VERSION } from '../version.ts';
import { COMMANDS } from './command-list.ts';
import { columnsOf, rootHelp } from './root-help.ts';
import type { CommandEntry } from './terminal/command.ts';
import { EXIT, type ExitStatus, failureOf, UsageError } from './terminal/exit-status.ts';
import type { CliIo } from './terminal/io.ts';

/** Runs one call and returns its exit status. Never throws. */
export async function runProgram(
  argv: readonly string[],
  io: CliIo,
  commands: readonly CommandEntry[] = COMMANDS,
): Promise<ExitStatus> {
  try {
    return await dispatch(withoutHelpWord(argv), io, commands);
  } catch (thrown) {
    const failure = failureOf(thrown);
    if (failure.message !== '') io.stderr(`${failure.message}\n`);
    if (argv.includes('--trace') && thrown instanceof Error && failure.message !== '') io.stderr(`${thrown.stack}\n`);
    return failure.status;
  }
}

/** `help shot` is `shot --help`, and `help` alone `--help`. */
function withoutHelpWord(argv: readonly string[]): readonly string[] {
  if (argv[0] !== 'help') return argv;
  return argv[1] === undefined || argv[1].startsWith('-') ? ['--help'] : [argv[1], '--help'];
}

/** The parser and the command are imported when there is a command to run, and not before. */
async function dispatch(argv: readonly string[], io: CliIo, commands: readonly CommandEntry[]): Promise<ExitStatus> {
  const [name, ...rest] = argv;
  const entry = commands.find(command => command.name === name);
  if (entry !== undefined) {
    const [{ runCommand }, { command }] = await Promise.all([import('./run-command.ts'), entry.load()]);
    return runCommand(entry, command, rest, io);
  }
  if (name === '--help' || name === '-h') io.stdout(rootHelp(commands, columnsOf(io)));
  else if (name === '--version') io.stdout(`${VERSION}\n`);
  else if (name === undefined) {
    io.stderr(rootHelp(commands, columnsOf(io)));
    return EXIT.usage;
  } else throw await unknownWord(name, commands);
  return EXIT.done;
}

async function unknownWord(word: string, commands: readonly CommandEntry[]): Promise<UsageError> {
  const hint = '`dwellbook --help` lists the commands';
  if (word.startsWith('-')) {
    return new UsageError(`unknown option '${word}': options go after the command\n(${hint})`);
  }
  const { suggestion } = await import('../diagnostics/suggestion.ts');
  const names = commands.map(({ name }) => name);
  const near = suggestion(word, names);
  return new UsageError(`unknown command '${word}'\n${near === null ? '' : `(Did you mean ${near}?)\n`}(${hint})`);
}
