import { type Command, InvalidArgumentError } from 'commander';
import { FORMATS } from '../check/check-formats.ts';
import { wholeNumber } from '../options/number-option.ts';
import { collect } from '../recipes/recipe-options.ts';
import { finishDocuments } from '../shard/finish-documents.ts';
import { type Merged, readShards } from '../shard/read-shards.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { CallFileError, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
A call with --shard i/n does the i-th of n shares of its work, on a machine of its own, and writes a file.
\`merge\` takes all n files and gives what one call gives, byte for byte, with its exit status: the report of
\`check\`, the lock of \`freeze\`, the table or chart of \`sweep\`, the JSON of \`spread\` and \`rehearse\`. A
shard that is missing, of another call or of another version is an error.

Examples:
  $ dwellbook check line-2/ --shard 1/2 -o check-1.json     on one machine
  $ dwellbook check line-2/ --shard 2/2 -o check-2.json     on another
  $ dwellbook merge check-1.json check-2.json --format github
  $ dwellbook merge sweep-*.json -o shots.csv
  $ dwellbook merge freeze-*.json --lock line-2/dwellbook.lock
`;

type Finish = (call: Call, whole: unknown, pieces: readonly unknown[]) => Promise<ExitStatus>;

/** The commands whose work can be shared out. */
const FINISH: Readonly<Record<string, () => Promise<Finish>>> = {
  check: async () => (await import('./check.ts')).finishCheck,
  freeze: async () => (await import('./freeze.ts')).finishFreeze,
  sweep: async () => (await import('./sweep.ts')).finishSweep,
  spread: async () => finishDocuments,
  rehearse: async () => (await import('./rehearse.ts')).finishRehearse,
};

export const command: CommandModule = {
  define(command: Command): void {
    command
      .argument('<file...>', 'the files of all shards of one call')
      .optionsGroup('Of check:')
      .option('--max-warnings <n>', 'end with 1 when there are more warnings than this', wholeNumber(0))
      .option('--report <format=file>', 'write a report beside the text; repeatable', collect)
      .optionsGroup('Of freeze:')
      .option('--lock <file>', 'the lock file; default: as of freeze')
      .option('--prune', 'remove entries whose recipe is gone')
      .optionsGroup('Output:')
      .option('--format <format>', `text, json; of check: ${Object.keys(FORMATS).join(', ')}`, requireFormat)
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const merged = readShards(call.args, call.io);
    const finish = Object.hasOwn(FINISH, merged.command) ? FINISH[merged.command] : undefined;
    if (finish === undefined)
      throw new CallFileError(`${call.args[0]}: nothing of \`${merged.command}\` is put together`);
    const end = await finish();
    try {
      return await end(callOf(call, merged), merged.whole, merged.pieces);
    } catch (error) {
      // Only what --shard wrote fits; whoever wrote something else hears so, and no fault of ours.
      if (!(error instanceof TypeError)) throw error;
      throw new CallFileError(`${call.args.join(', ')}: not as --shard writes them (${error.message})`);
    }
  },
};

/** The call that was shared out, shown as this one says. */
function callOf(call: Call, { command, call: { args, ...flags } }: Merged): Call {
  const { set, root, ...others } = flags as { set?: unknown; root?: unknown; lock?: unknown; prune?: unknown };
  // What is written, and what is forgotten, is said by whoever merges.
  if (command === 'freeze') for (const name of ['lock', 'prune'] as const) delete others[name];
  return {
    ...call,
    name: command,
    args: strings(args),
    flags: { ...others, ...call.flags },
    root: typeof root === 'string' ? root : undefined,
    set: set === undefined ? [] : strings(set),
  };
}

function strings(value: unknown): string[] {
  if (Array.isArray(value) && value.every(one => typeof one === 'string')) return value;
  throw new UsageError('the shards hold arguments that cannot be');
}

function requireFormat(text: string): string {
  if (Object.hasOwn(FORMATS, text)) return text;
  throw new InvalidArgumentError(`Formats: ${Object.keys(FORMATS).join(', ')}.`);
}
