import { Command, Option } from 'commander';
import { styleOf } from '../report/style.ts';
import type { View } from '../report/view.ts';
import { VERSION } from '../version.ts';
import { type ColorChoice, colorLevel } from './color-level.ts';
import type { Call, CommandEntry, CommandModule } from './command.ts';
import { COMMANDS } from './command-list.ts';
import { EXIT, type ExitStatus, failureOf, UsageError } from './exit-status.ts';
import type { CliIo } from './io.ts';

const DEFAULT_COLUMNS = 80;

const AFTER_HELP = `
Exit status:
  0  done and sound
  1  the recipe or the data fails a check, or cannot be computed
  2  wrong usage, or a folder or pattern in which there is no recipe
  3  a file cannot be read or written
  70 a fault of ours

Results are starting points: prove them on scrap connectors. Data sheets, manuals,
local codes and licensed practice come first.`;

/** Runs one call and returns its exit status. Never throws. */
export async function runProgram(
  argv: readonly string[],
  io: CliIo,
  commands: readonly CommandEntry[] = COMMANDS,
): Promise<ExitStatus> {
  try {
    return await parseAndRun(withoutHelpWord(argv), io, commands);
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

async function parseAndRun(argv: readonly string[], io: CliIo, commands: readonly CommandEntry[]): Promise<ExitStatus> {
  const program = newProgram(io);
  const entry = commands.find(command => command.name === argv[0]);
  let status: ExitStatus = EXIT.done;
  if (entry === undefined) {
    // Help, or a name that no command has: names and summaries are enough, no command is imported.
    for (const { name, summary, group } of commands) program.command(name).description(summary).helpGroup(group);
    if (argv[0] !== undefined && !argv[0].startsWith('-')) program.helpOption(false);
  } else {
    const { command: module } = await entry.load();
    const command = program.command(entry.name).description(`${capitalised(entry.summary)}.`);
    defineCommand(command, module);
    command.action(async () => {
      status = await module.run(readCall(entry.name, command, io));
    });
  }
  await program.parseAsync([...argv], { from: 'user' });
  return status;
}

function newProgram(io: CliIo): Command {
  const program = new Command('dwellbook')
    .description('Process engineering for injecting two-part epoxy into fibre-optic connectors, from YAML recipes.')
    .usage('<command> [recipe…] [options]')
    .version(VERSION, '--version', 'print the version')
    .helpOption('-h, --help', 'show help')
    .helpCommand('help [command]', 'show help for a command')
    .configureOutput({
      writeOut: text => io.stdout(text),
      writeErr: text => io.stderr(text),
      getOutHelpWidth: () => io.columns ?? DEFAULT_COLUMNS,
      getErrHelpWidth: () => io.columns ?? DEFAULT_COLUMNS,
      getOutHasColors: () => false,
      getErrHasColors: () => false,
    })
    .exitOverride();
  return program.addHelpText('after', AFTER_HELP);
}

/** The command's own arguments and options, then those that every command has. */
function defineCommand(command: Command, module: CommandModule): void {
  command.helpOption('-h, --help', 'show this help').showHelpAfterError('(--help shows what there is)');
  module.define(command);
  command.optionsGroup('Output:');
  if (!hasOption(command, '--format')) {
    command.addOption(
      new Option('--format <format>', 'text for people or JSON for programs').choices(['text', 'json']),
    );
  }
  command.option('--json', 'the same as --format json');
  if (!hasOption(command, '--out')) command.option('-o, --out <file>', 'write to this file, not to standard output');
  command.addOption(new Option('--color <when>', 'colours').choices(['auto', 'always', 'never']).default('auto'));
  command.addOption(new Option('--trace').hideHelp());
}

function hasOption(command: Command, long: string): boolean {
  return command.options.some(option => option.long === long);
}

function readCall(name: string, command: Command, io: CliIo): Call {
  const flags: Record<string, unknown> = command.opts();
  const color = flags['color'] as ColorChoice;
  return {
    name,
    io,
    args: command.args,
    flags,
    format: formatOf(flags),
    out: typeof flags['out'] === 'string' ? flags['out'] : null,
    root: typeof flags['root'] === 'string' ? flags['root'] : undefined,
    set: Array.isArray(flags['set']) ? (flags['set'] as string[]) : [],
    view: viewOf(io, color, io.isTTY.stdout),
    messages: viewOf(io, color, io.isTTY.stderr),
  };
}

function formatOf(flags: Readonly<Record<string, unknown>>): string {
  const format = flags['format'];
  if (flags['json'] !== true) return typeof format === 'string' ? format : 'text';
  if (format !== undefined && format !== 'json')
    throw new UsageError(`--json and --format ${format} exclude each other`);
  return 'json';
}

function viewOf(io: CliIo, color: ColorChoice, isTTY: boolean): View {
  return { style: styleOf(colorLevel(color, io.env, isTTY)), columns: Math.max(40, io.columns ?? DEFAULT_COLUMNS) };
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
