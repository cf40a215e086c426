import type { Command } from 'commander';
import type { ScanResult } from '../../analysis/scan/scan.ts';
import { type ScanDotsResult, type Slide, wholeScan } from '../../analysis/scan/scan-dots.ts';
import type { OwnRecipe } from '../../analysis/scan/sheet-recipe.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { renderScan } from '../../report/text/render-scan.ts';
import { inPicture, type PictureFile, readPictureFile } from '../data/read-picture-file.ts';
import { finishOnData } from '../data/run-on-data.ts';
import { slideOption } from '../data/scanned-check.ts';
import { positiveNumber } from '../options/number-option.ts';
import { addRecipeOptions } from '../recipes/recipe-options.ts';
import { runOnRecipes } from '../recipes/run-on-recipes.ts';
import type { Call, CommandModule } from '../terminal/command.ts';
import { type ExitStatus, UsageError } from '../terminal/exit-status.ts';
import { notes } from '../terminal/help-notes.ts';

const HELP = `
Finds the corner marks and the code of a printed gauge in a PNG or JPEG, and says how true the
print is: both scales by the resolution of a flatbed, as its file states it or --dpi gives it,
else their ratio. With a recipe, the sheet must be of that recipe.

The whole sheet should be in the picture; three of its four corner marks must. What cannot be
told is left open.

--dots measures the dots on the circles, against the sheet as a ruler, with what each may be off by;
-o shows what was taken for a dot. One circle must be free. Dots on a slide over the sheet look
larger, which --slide and --distance correct. A dot that lets light through, or ends on a ring, is
read with a wider doubt or refused; at 300 dpi print hides the least of it.

Examples:
  $ dwellbook scan gauge.png --dpi 300
  $ dwellbook scan gauge.jpg line-2/slim.yaml --json
  $ dwellbook scan dots.jpg line-2/slim.yaml --dots -o found.png \\
      --slide "1 mm" --distance "30 cm"

A lens bends lines near the edge of its picture, and what stands above the sheet is seen too
large: take pictures from straight above and far off, or use a flatbed.
`;

export const command: CommandModule = {
  define(command: Command): void {
    addRecipeOptions(
      command
        .argument('<picture>', 'PNG or JPEG of a printed gauge, - for standard input')
        .argument('[recipe]', 'recipe that the sheet is of'),
    )
      .optionsGroup('The picture:')
      .option('--dpi <n>', 'pixels in an inch, in place of what the file states', positiveNumber)
      .optionsGroup('The dots:')
      .option('--dots', 'measure the dots on the circles')
      .option('--slide <quantity>', 'thickness of a slide over the sheet, with the dots on it')
      .option('--distance <quantity>', 'of the camera from the sheet')
      .optionsGroup('What was found:')
      .option('-o, --out <file>', 'write the picture with what was found drawn over it: .png')
      .addHelpText('after', notes(HELP));
  },

  async run(call: Call): Promise<ExitStatus> {
    const [path = '', recipe] = call.args;
    if (call.out !== null && !/\.png$/i.test(call.out)) throw new UsageError(`-o ${call.out}: a picture ends in .png`);
    if (recipe === '-' && path === '-') throw new UsageError('only one of picture and recipe can be standard input');
    const work = { path, dots: call.flags['dots'] === true, slide: await slideOption(call) };
    if (work.slide !== null && !work.dots) throw new UsageError('--slide is of dots; give --dots');
    const read = await readPictureFile(call.io, path);
    if (recipe === undefined) {
      const { result, placed } = await scanned(call, work, read);
      return finishOnData(call, { result, diagnostics: placed }, keys => renderScan(keys, call.view));
    }
    return runOnRecipes(call, {
      ...{ paths: [recipe], single: true, ownOutput: true, render: renderScan },
      compute: async (loadedRecipe, { digest }) => scanned(call, work, read, { recipe: loadedRecipe, digest }),
    });
  },
};

interface Work {
  readonly path: string;
  readonly dots: boolean;
  readonly slide: Slide | null;
}

interface Scanned {
  readonly result: ((ScanResult | ScanDotsResult) & { file: string; sha256: string }) | null;
  readonly findings: readonly never[];
  readonly placed: readonly Diagnostic[];
}

async function scanned(call: Call, { path, dots, slide }: Work, read: PictureFile, own?: OwnRecipe): Promise<Scanned> {
  if (read.picture === null) return { result: null, findings: [], placed: read.diagnostics };
  const options = { dpi: call.flags['dpi'] as number | undefined, own, dots, slide };
  const { result: whole, findings } = wholeScan(read.picture, options);
  const placed = findings.map(f => inPicture(path, f));
  if (whole === null) return { result: null, findings: [], placed };
  if (call.out !== null) {
    const { scanOverlay } = await import('../../report/page/scan-overlay.ts');
    call.io.writeFile(call.out, scanOverlay(whole.seen.picture, whole.outlines));
  }
  return { result: { ...whole.result, file: path, sha256: read.sha256 }, findings: [], placed };
}
