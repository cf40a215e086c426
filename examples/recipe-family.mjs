// A family of recipes from parts: every connector with every resin. Each recipe gets its settings, is checked, and goes
// into a lock file, so that a later run (or `dwellbook check --frozen`) says what a change of a part has moved.
//
//   node examples/recipe-family.mjs [folder]
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import {
  checkRecipe,
  frozenEntry,
  frozenFindings,
  loadRecipe,
  lockText,
  placeFindings,
  ramp,
  readLock,
  starterRecipe,
  writeAtomic,
  writeValues,
} from 'dwellbook';

// All names and values are invented.
const CONNECTORS = {
  slim: connector({ tube: '7 mm', reach: '{min: 9 mm, max: 12.5 mm}' }),
  deep: connector({ tube: '11 mm', reach: '{min: 10 mm, max: 16 mm}' }),
};
const RESINS = {
  'amber-40': resin({ name: 'Amber 40', viscosity: '2.4 Pa.s ± 15 %' }),
  'amber-55': resin({ name: 'Amber 55', viscosity: '4.1 Pa.s ± 15 %' }),
};

const folder = process.argv[2] ?? 'recipe-family';
const lockFile = join(folder, 'dwellbook.lock.yaml');
mkdirSync(join(folder, 'parts'), { recursive: true });
for (const [name, text] of Object.entries({ ...CONNECTORS, ...RESINS }))
  keep(join(folder, 'parts', `${name}.yaml`), text);

const lock = existsSync(lockFile) ? readLock(lockFile, readFileSync(lockFile)) : null;
const entries = new Map(lock?.entries);
for (const connectorName of Object.keys(CONNECTORS)) {
  for (const resinName of Object.keys(RESINS)) await addRecipe(connectorName, resinName);
}
writeAtomic(lockFile, lockText(entries));
console.log(`${lockFile}: ${entries.size} recipes`);

async function addRecipe(connectorName, resinName) {
  const name = `${connectorName}-${resinName}.yaml`;
  const file = join(folder, name);
  if (!existsSync(file)) {
    const parts = { connector: `parts/${connectorName}.yaml`, resin: `parts/${resinName}.yaml` };
    const title = `Hydrophone pigtail, ${connectorName}, ${resinName}`;
    writeAtomic(file, starterRecipe({ name: title, schema: 'recipe.schema.json', parts, values: {} }));
    await release(file);
  }
  const loaded = await loadRecipe(file, { root: folder });
  const judged = loaded.recipe === null ? [] : checkRecipe(loaded.recipe).findings;
  const moved = lock?.entries.has(name) ? frozenFindings({ loaded, lock, path: name }) : [];
  const findings = [...loaded.findings, ...placeFindings(loaded, judged), ...moved];
  for (const { file: at, line, column, severity, message, code, effect } of findings) {
    const what = effect === undefined ? message : `${message} (${name}: ${effect})`;
    console.error(`${at}:${line}:${column}: ${severity}: ${what} [${code}]`);
  }
  if (findings.some(d => d.severity === 'error')) process.exitCode = 1;
  // What has moved stays in the lock file as it was, until somebody has looked and frozen it.
  else if (loaded.recipe !== null) entries.set(name, frozenEntry(loaded.recipe, loaded, lock?.entries.get(name)));
}

/** Puts the setpoint's pressure, and the program that keeps the shot with it, into a fresh recipe. */
async function release(file) {
  const { recipe } = await loadRecipe(file, { root: folder });
  const found = recipe === null ? null : ramp(recipe).result;
  if (found === null) return;
  const [stage] = found.program.stages;
  const { text, findings } = writeValues(readFileSync(file, 'utf8'), [
    { path: 'settings.pressure', value: `${found.pressure_kPa} kPa` },
    { path: 'settings.dwell', value: `${stage.first_dwell_s} s` },
    { path: 'settings.ramp', value: { add: `${stage.add_s} s`, every: stage.every } },
  ]);
  for (const { message } of findings) console.error(`${file}: ${message}`);
  writeAtomic(file, text);
}

/** A part that is there is somebody's; only missing ones are written. */
function keep(file, text) {
  if (!existsSync(file)) writeAtomic(file, text);
}

function connector({ tube, reach }) {
  return `cavity:
  - {part: bore, diameter: 126 ± 0.5 um, length: 5.5 mm}
  - {part: lead-in, diameter: [126 um, 0.9 mm], length: 0.6 mm}
  - {part: tube, diameter: 1.1 mm, length: ${tube}}
face: 1.25 mm
cable:
  - {part: fibre, diameter: 125 ± 0.7 um, length: 6.6 mm}
  - {part: coating, diameter: 245 um, length: 1 mm}
  - {part: buffer, diameter: 0.9 mm, length: 20 mm}
protrusion: 1 mm
bead: {diameter: 0.5 mm, contact_angle: 60 deg}
reach: ${reach}
allowance: 3 %
`;
}

function resin({ name, viscosity }) {
  return `name: ${name}
density: 1.15 g/mL
surface_tension: 42 mN/m
rheology: {model: newtonian, viscosity: ${viscosity}}
activation_energy: 60 kJ/mol
cure: {model: pot-life, time: 60 min, factor: 2, activation_energy: 60 kJ/mol}
dot: {contact_angle: 32 deg, read_after: 60 s}
`;
}
