import { type Command, Option } from 'commander';
import { type FamilyResult, family } from '../../analysis/family/family.ts';
import { readFonts } from '../../files/fonts.ts';
import { sha256 } from '../../recipe/format/digest.ts';
import { renderFamily } from '../../report/several/render-family.ts';
import { displayUnits } from '../../report/words/display-units.ts';
import { parseNeedles } from '../options/needles-option.ts';
import { positiveNumber } from '../options/number-option.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import { addRecipeArguments } from '../recipes/recipe-options.ts';
import { type Member, runOnFamily } from '../recipes/run-on-family.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import type { ExitStatus } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';
import { sheetOrigin } from '../write/sheet-origin.ts';

const HELP = `
For connectors that one station makes from one syringe: the needle and the pressure that all
share, with the least worst spread; each member's dwell and ramp at that pressure; what sharing
costs it against a setting of its own. A changeover is then a change of the program alone.
The members share one resin, with its name. -o draws the matrix card: programs, the dwell by
member and age, and one dot gauge with a scale in µL, read by eye (not by scan). Print at 100 %, without fitting to the page.

Examples:
  $ dwellbook family line-2/slim.yaml line-2/standard.yaml
  $ dwellbook family line-2 --needles 20,21,22
  $ dwellbook family line-2 --pressure "300 kPa" -o card.pdf

Stay below the lowest pressure rating in the air line. At a changeover purge as the recipe
says, prove the first pieces, and never add fresh resin to a syringe in use. Gloves, eye
protection and ventilation as the safety data sheet says.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeArguments(command)
      .optionsGroup('What is shared:')
      .option('--needles <list>', 'needles to choose from; default: those of the recipes')
      .option('--pressure <quantity>', 'fix the pressure')
      .optionsGroup('Output:')
      .option('-o, --out <file>', 'the matrix card and the gauge scale as a PDF')
      .addOption(new Option('--paper <size>', 'size of its paper').choices(['a4', 'letter']).default('a4'))
      .option('--scale-x <ratio>', 'measured over nominal length of the bar across', positiveNumber)
      .option('--scale-y <ratio>', 'measured over nominal length of the bar down', positiveNumber)
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const { pressure } = await quantityFlags(call, { pressure: { kind: 'pressure', least: 'above zero' } } as const);
    const list = call.flags['needles'] as string | undefined;
    const needles = list === undefined ? undefined : await parseNeedles(list);
    return runOnFamily(call, {
      tooFew: 'a family has at least two recipes; `setpoint` is for one',
      compute: async members => {
        const { result, findings } = family(members, { pressure, needles, paper: paperOf(call) });
        if (result === null || call.out === null) return { result, findings };
        call.io.writeFile(call.out, await cardOf(call, result, members));
        return { result: { ...result, file: call.out }, findings };
      },
      render: (result: FamilyResult, view, members: readonly Member[]) =>
        renderFamily(
          result,
          view,
          members.map(({ recipe }) => recipe),
        ),
    });
  },
};

const paperOf = (call: Call) => call.flags['paper'] as 'a4' | 'letter';

async function cardOf(call: Call, result: FamilyResult, members: readonly Member[]): Promise<Uint8Array> {
  const { familyPdf } = await import('../../report/several/family-card.ts');
  const { scaleX = 1, scaleY = 1 } = call.flags as { readonly scaleX?: number; readonly scaleY?: number };
  const { creator, created } = sheetOrigin(members[0]!.loaded);
  const origin = {
    name: members.map(({ file, recipe }) => recipe.name ?? file).join(' · '),
    // of all members, in their order
    digest: sha256(members.map(({ loaded }) => loaded.digest).join(' ')),
    ...{ creator, created },
  };
  const { pressure, length } = displayUnits(members[0]!.recipe);
  return familyPdf({ ...origin, family: result, pressure, length, paper: paperOf(call), scaleX, scaleY }, readFonts());
}
