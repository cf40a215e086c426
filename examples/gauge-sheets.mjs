// A gauge sheet for every recipe of a folder, for the file of a line: sheets/<recipe>.pdf.
//
//   node examples/gauge-sheets.mjs [folder with recipes] [folder for the sheets]
import { mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { gauge, gaugePdf, loadRecipe, readFonts, VERSION } from 'dwellbook';

const [from = 'recipes', to = 'sheets'] = process.argv.slice(2);
mkdirSync(to, { recursive: true });
const fonts = readFonts();
for (const name of readdirSync(from).filter(entry => /\.ya?ml$/.test(entry))) {
  const loaded = await loadRecipe(join(from, name));
  const outcome = loaded.recipe === null ? null : gauge(loaded.recipe, { paper: 'a4' });
  if (outcome === null || outcome.result === null) {
    const [first] = [...loaded.findings, ...(outcome?.findings ?? [])];
    console.error(`${name}: no sheet: ${first?.message}`);
    process.exitCode = 1;
    continue;
  }
  const input = {
    gauge: outcome.result,
    name: loaded.recipe.name ?? name,
    digest: loaded.digest,
    ...{ format: 1, creator: `dwellbook ${VERSION}`, created: new Date(0) }, // no clock: the same recipe, the same file
  };
  const file = join(to, `${basename(name).replace(/\.ya?ml$/, '')}.pdf`);
  writeFileSync(file, await gaugePdf(input, fonts));
  console.log(
    `${file}: aim ${outcome.result.rings[1].diameter_mm.toFixed(2)} mm, ${outcome.result.shots_per_circle} shots on one circle`,
  );
}
