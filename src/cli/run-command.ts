import { Command, Option } from 'commander';
import { styleOf } from '../report/words/style.ts';
import type { View } from '../report/words/view.ts';
import { columnsOf } from './root-help.ts';
import { type ColorChoice, colorLevel } from './terminal/color-level.ts';
import type { Call, CommandEntry, CommandModule } from './terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from './terminal/exit-status.ts';
import type { CliIo } from './terminal/io.ts';
import { guardedIo } from './write/guarded-io.ts';

/** Reads the flags of one command and runs it. Throws what the command or the parser throws. */
export async function runCommand(
  entry: CommandEntry,
  module: CommandModule,
  argv: readonly string[],
  io: CliIo,
): Promise<ExitStatus> {
  let status: ExitStatus = EXIT.done;
  const { program, command } = declared(entry, module, io);
  command.action(async () => {
    status = await module.run(readCall(entry.name, command, guardedIo(io)));
  });
  await program.parseAsync([entry.name, ...argv], { from: 'user' });
  return status;
}

/** The command with its arguments and options, ready to read flags; the program is its parent. */
export function declared(
  entry: CommandEntry,
  module: CommandModule,
  io: Pick<CliIo, 'stdout' | 'stderr' | 'columns'>,
): { program: Command; command: Command } {
  const program = newProgram(io);
  const command = program.command(entry.name).description(`${capitalised(entry.summary)}.`);
  defineCommand(command, module);
  return { program, command };
}

/** The parent of the command, from which it takes where to write and that nothing exits the process. */
function newProgram(io: Pick<CliIo, 'stdout' | 'stderr' | 'columns'>): Command {
  return new Command('dwellbook')
    .configureOutput({
      writeOut: text => io.stdout(text),
      writeErr: text => io.stderr(text),
      getOutHelpWidth: () => columnsOf(io),
      getErrHelpWidth: () => columnsOf(io),
      getOutHasColors: () => false,
      getErrHasColors: () => false,
    })
    .exitOverride();
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
  return { style: styleOf(colorLevel(color, io.env, isTTY)), columns: columnsOf(io), wraps: isTTY };
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
