import type { Command } from 'commander';
import { type ReleaseOptions, type ReleaseResult, release } from '../../analysis/release/release.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { renderRelease } from '../../report/text/render-release.ts';
import { pairsText } from '../../report/words/table.ts';
import type { View } from '../../report/words/view.ts';
import { withEarlierChecks } from '../data/earlier-releases.ts';
import { logRelease, requireLogWords } from '../data/release-log-entry.ts';
import { type ScannedCheck, scannedCheck } from '../data/scanned-check.ts';
import { AGED_RESIN_OPTIONS, SETTING_OPTIONS } from '../options/condition-options.ts';
import { wholeNumber } from '../options/number-option.ts';
import { readingList } from '../options/quantity-list.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { EXIT, type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Decides from a few dots or weighings of a syringe: use, use with trim, or reject. The readings say
how thick the syringe is beside the recipe, and that, what every shot left gets by the program in
force: it is used when the whole 95 % interval of each lies inside the window. Else the program is
made anew for this syringe, from the check's shot on; such a trim corrects the dwell by a quarter,
or by what the recipe's own spread asks for. A rejected syringe ends with status 1.

The check stands at a shot of the program: name it with --shot or by the --age of the resin.
--pressure and --dwell say what was set, where it was not the program.

--scan reads the dots off a picture of the printed gauge, as \`scan --dots\` does; their doubt stands
for the reading error. The sheet must be of the recipe, and says how many shots are on a circle.

--log appends one line to a CSV file, which is created with its header when it is not there. What
is in it is never rewritten. Checks in it of the same lot or needle count as well: the dwell goes
by all of them, and the window is kept both by this check alone and by all.

Examples:
  $ dwellbook release slim.yaml --dots "4.93, 4.97, 4.90 mm" --shots 4 \\
      --age "14 min" --temperature "22.5 degC"
  $ dwellbook release slim.yaml --masses "37.9, 38.4, 38.1 mg" --shots 5 \\
      --log checks.csv --syringe S-118 --lot L-0412 --operator AB
  $ dwellbook release slim.yaml --scan dots.jpg --age "14 min"

Uncured resin irritates and sensitises skin: gloves, eye protection and ventilation as the safety
data sheet says. Prove the first connectors of a syringe as before.
`;

const OPTIONS = {
  ...AGED_RESIN_OPTIONS,
  dispensed: { kind: 'volume', least: 'zero or above' },
  ...SETTING_OPTIONS,
  readability: { kind: 'mass', least: 'above zero' },
  readingError: { kind: 'length', least: 'above zero' },
  trimLimit: { kind: 'factor', least: 'above zero' },
} as const;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('The readings:')
      .option('--dots <list>', 'diameters as seen from above: "5.5, 5.6, 5.45 mm"')
      .option('--scan <picture>', 'a PNG or JPEG of the gauge with the dots on it')
      .option('--slide <quantity>', 'thickness of a slide over the sheet in the picture')
      .option('--distance <quantity>', 'of the camera from the sheet')
      .option('--masses <list>', 'weighings: "37.9, 38.4, 38.1 mg"')
      .option(
        '--shots <n>',
        "shots on one dot, default as the recipe's gauge has; or in one weighing, default 1",
        wholeNumber(1),
      )
      .option('--reading-error <quantity>', 'half-width of a misread diameter; default: the recipe')
      .option('--readability <quantity>', 'smallest step of the balance; default: the last digit')
      .optionsGroup('How they were made:')
      .option('--shot <n>', 'shot of the program; default: by --age, else 1', wholeNumber(1))
      .option('--age <quantity>', 'time since the resin was mixed')
      .option('--temperature <quantity>', 'of the resin')
      .option('--pressure <quantity>', 'as it was set, where not by the program')
      .option('--dwell <quantity>', 'as it was set, where not by the program')
      .option('--lot-factor <number>', "viscosity of this lot over the recipe's")
      .option('--dispensed <quantity>', 'volume that had left the syringe before')
      .option('--trim-limit <percent>', 'greatest correction of a trim; default: "25 %" or 2.6 sd')
      .optionsGroup('The log:')
      .option('--log <file>', 'append the check to this file')
      .option('--syringe <name>', 'which syringe')
      .option('--lot <name>', 'lot of the resin')
      .option('--needle <name>', 'which needle; default: one of its own for each syringe')
      .option('--operator <name>', 'who checked')
      .option('--note <text>', 'anything worth remembering')
      .option('--time <time>', 'when, as ISO 8601 writes it; default: now')
      .option('--incomplete', 'write the line without syringe or operator')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    requireLogWords(call);
    const typed = { ...(await quantityFlags(call, OPTIONS)), ...(await readings(call)) } as ReleaseOptions;
    const check = await scannedCheck(call);
    let logRefused = false;
    let rejected = false;
    const status = await runOnRecipes<ReleaseResult & Pick<ScannedCheck, 'picture'>>(call, {
      single: true,
      render: (result, view, recipe) =>
        [renderRelease(result, view, recipe), ...pictureText(result.picture, view)].join('\n\n'),
      compute: async (recipe, loaded) => {
        const read: ScannedCheck = check?.(recipe, loaded.digest) ?? { options: {}, picture: null, placed: [] };
        if (read.options === null) return { result: null, findings: [], placed: read.placed };
        const options = { ...read.options, ...typed };
        const { picture } = read;
        const earlier = await withEarlierChecks(call, loaded, options);
        const { result, findings } = release(recipe, earlier.options);
        rejected = result?.decision === 'reject';
        if (result === null || typeof call.flags['log'] !== 'string') {
          return { result: result === null ? null : { ...result, picture }, findings, placed: read.placed };
        }
        const how = { scanned: picture, readingError: options.readingError ?? null };
        const logged: { written: boolean; placed: readonly Diagnostic[] } = logRelease(call, loaded, result, how);
        logRefused = !logged.written;
        const placed = [...read.placed, ...earlier.placed, ...logged.placed];
        if (logRefused) return { result: null, findings, placed };
        return { result: { ...result, log: call.flags['log'], picture }, findings, placed };
      },
    });
    if (logRefused) return EXIT.files;
    return rejected ? EXIT.unsound : status;
  },
};

/** Where dots were read off a picture. */
function pictureText(picture: ScannedCheck['picture'], view: View): string[] {
  if (picture === null) return [];
  const { file, sha256, readings } = picture;
  return [
    pairsText(
      [
        ['read off', `${file}: ${readings}`],
        ['its SHA-256', sha256],
      ],
      view,
    ),
  ];
}

type Read = Pick<ReleaseOptions, 'dots' | 'masses' | 'shots' | 'shot' | 'lastDigit'>;

async function readings(call: Call): Promise<Read> {
  const { dots, masses, scan, shots, shot } = call.flags as Readonly<
    Record<'dots' | 'masses' | 'scan', string | undefined> & Record<'shots' | 'shot', number | undefined>
  >;
  const counts = { ...(shots !== undefined && { shots }), ...(shot !== undefined && { shot }) };
  const given = [dots, masses, scan].filter(text => text !== undefined).length;
  if (given === 0) throw new UsageError('give --dots or --masses, or a picture with --scan');
  if (given > 1) throw new UsageError(`give one of --dots and --masses${scan === undefined ? '' : ' and --scan'}`);
  if (scan !== undefined) {
    if (call.flags['readability'] !== undefined)
      throw new UsageError('--readability is of a balance; dots have --reading-error');
    return counts;
  }
  if (dots !== undefined) {
    if (call.flags['readability'] !== undefined)
      throw new UsageError('--readability is of a balance; dots have --reading-error');
    const { values, lastDigit } = await readingList('--dots', dots, { kind: 'length', least: 'above zero' });
    return { ...counts, dots: values, lastDigit };
  }
  if (call.flags['readingError'] !== undefined)
    throw new UsageError('--reading-error is of dots; a balance has --readability');
  const { values, lastDigit } = await readingList('--masses', masses!, { kind: 'mass', least: 'above zero' });
  return { ...counts, masses: values, lastDigit };
}
