import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inSeconds, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { prepareDelivery } from '../delivery/operating-point.ts';
import { resinDot } from '../dot/dot.ts';
import { readDot } from '../dot/read-dot.ts';
import { cellsOf, scatterOf } from './trials-cells.ts';
import { trialLevels } from './trials-levels.ts';
import {
  amounts,
  type Plan,
  TRIALS_DEFAULTS,
  type TrialRunKeys,
  type TrialsOptions,
  type TrialsResult,
} from './trials-plan.ts';
import { type DesignInformation, designInformation, halfWidths, TRIAL_PARAMETERS } from './trials-precision.ts';
import { defaultsOf, tellings, trialFindings } from './trials-report.ts';
import { type PlannedRun, planRuns } from './trials-runs.ts';

export type { TrialsOptions, TrialsResult } from './trials-plan.ts';

/**
 * A run sheet of trial shots: pressure × dwell × age with replicates, in random order within each age, sized so that a fit of them
 * reaches the wanted confidence. Age runs with the clock, so it cannot be put in random order: ages are blocks.
 */
export function trials(recipe: Recipe, options: TrialsOptions = {}): Outcome<TrialsResult> {
  const delivery = prepareDelivery(recipe, options, 'a trial');
  if (delivery.result === null) return { result: null, findings: delivery.findings };
  const ages = [...new Set(options.ages ?? [recipe.process?.ready_after.value ?? 0])].sort((a, b) => a - b);
  const points = ages.map(age => delivery.result!.at({ age }));
  const findings: Finding[] = [...delivery.findings, ...points.flatMap(p => p.findings)];
  const byDot = options.by === 'diameter' ? resinDot(recipe) : null;
  if (byDot !== null) findings.push(...byDot.findings);
  else if (recipe.resin?.density === undefined) findings.push(blockMissing('resin.density', 'a trial by mass'));
  const dot = byDot?.result ?? null;
  const first = points[0]!.result;
  if (first === null || findings.some(f => f.severity === 'error'))
    return { result: null, findings: distinct(findings) };
  const choice = {
    pressures: options.pressures ?? TRIALS_DEFAULTS.pressures,
    dwells: options.dwells ?? TRIALS_DEFAULTS.dwells,
  };
  const levels = trialLevels(recipe, first, choice);
  findings.push(...levels.findings);
  if (levels.result === null) return { result: null, findings: distinct(findings) };
  const scatter = scatterOf(recipe, options);
  const cells = cellsOf(delivery.result, {
    recipe,
    ages,
    levels: levels.result,
    scatter,
    options,
    density: recipe.resin!.density!.value,
    dot,
  });
  const still = cells.find(cell => !(cell.point.deliver(cell).volume > 0));
  if (still !== undefined) {
    const message = `${inWords(still.pressure, 'kPa')} for ${inSeconds(still.dwell)} delivers nothing`;
    return { result: null, findings: [...findings, floorFinding('trials-levels', null, message)] };
  }
  const design = designInformation(cells);
  const replicates = options.replicates ?? sized(design, options);
  const runs = planRuns(delivery.result, {
    cells,
    ages,
    replicates,
    ...amounts(options),
  });
  findings.push(...runs.findings);
  if (runs.result === null) return { result: null, findings: distinct(findings) };
  const plan: Plan = {
    recipe,
    options,
    ages,
    levels: levels.result,
    cells,
    design,
    replicates,
    scatter,
    dot,
    runs: runs.result,
    resin: resinOf(recipe, runs.result, options),
  };
  const result = { ...resultOf(plan), models: first.models, defaults: [...first.defaults, ...defaultsOf(plan)] };
  findings.push(...trialFindings(plan, result));
  return { result, findings: distinct(findings) };
}

/** Wanted half-widths in the units of the names; null where nothing is wanted. */
function wantedOf(options: TrialsOptions): (number | null)[] {
  const offset = options.offsetConfidence;
  return [options.confidence ?? TRIALS_DEFAULTS.confidence, offset === undefined ? null : offset / 1e3, null];
}

function reaches(design: DesignInformation, replicates: number, options: TrialsOptions): boolean {
  const widths = halfWidths(design, replicates);
  return wantedOf(options).every(
    (wanted, k) => wanted === null || !design.free[k] || (widths[k] ?? Number.POSITIVE_INFINITY) <= wanted,
  );
}

function sized(design: DesignInformation, options: TrialsOptions): number {
  const { leastReplicates, mostReplicates } = TRIALS_DEFAULTS;
  for (let n: number = leastReplicates; n < mostReplicates; n++) if (reaches(design, n, options)) return n;
  return mostReplicates;
}

/** Of all runs and of the prime before them [m³]. */
function resinOf({ process }: Recipe, runs: readonly PlannedRun[], options: TrialsOptions): number {
  const { shots } = amounts(options);
  return runs.reduce((sum, { expected }) => sum + expected * shots, (process?.prime ?? 0) * (runs[0]?.expected ?? 0));
}

function runKeys({ recipe, options, dot, runs }: Plan): TrialRunKeys[] {
  const { shots } = amounts(options);
  const diameter = (viscosity: number | null, volume: number) =>
    dot === null ? null : readDot(recipe, dot, viscosity).diameter(volume) * 1e3;
  const density = recipe.resin!.density!.value;
  return runs.map(({ run, block, pressure, dwell, age, expected, viscosity }) => ({
    ...{ run, block, pressure_kPa: pressure / 1e3, dwell_s: dwell, age_min: Number((age / 60).toPrecision(12)), shots },
    expected_uL: expected * 1e9,
    expected_mg: expected * density * shots * 1e6,
    expected_mm: diameter(viscosity, expected * shots),
  }));
}

function resultOf(plan: Plan): Omit<TrialsResult, 'models' | 'defaults'> {
  const { design, replicates, options, runs, recipe, cells, scatter, resin } = plan;
  const widths = halfWidths(design, replicates);
  const wanted = wantedOf(options);
  const { seed, shots, pace } = amounts(options);
  const syringe = recipe.station?.syringe;
  const usable = syringe === undefined ? null : syringe.fill.value - syringe.left_over.value;
  const repeatability = cells.reduce((sum, cell) => sum + scatter.at(cell), 0) / cells.length;
  return {
    seed,
    pressures_kPa: plan.levels.pressures.map(p => p / 1e3),
    dwells_s: plan.levels.dwells,
    ages_min: plan.ages.map(age => age / 60),
    replicates,
    by: options.by ?? 'mass',
    shots_per_weighing: shots,
    runs: runKeys(plan),
    repeatability_rel: repeatability,
    repeatability_from: scatter.from,
    precision: TRIAL_PARAMETERS.map((name, k) => ({
      name,
      standard_error: design.standardErrors[k] == null ? null : design.standardErrors[k] / Math.sqrt(replicates),
      half_width: widths[k] ?? null,
      wanted: wanted[k] ?? null,
      reached: wanted[k] == null || widths[k] == null ? null : widths[k] <= wanted[k],
    })),
    correlation: design.correlation,
    ...tellings(plan),
    resin_mL: resin * 1e6,
    syringes: usable === null || !(usable > 0) ? null : Math.ceil(resin / usable - 1e-9),
    duration_min: ((runs.at(-1)?.age ?? 0) + pace - plan.ages[0]!) / 60,
    table: null,
    sheet: null,
  };
}
