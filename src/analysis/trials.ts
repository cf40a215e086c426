import type { Finding, Outcome } from '../diagnostics/finding.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { inMillilitres, inMinutes, inPercent } from './amount-text.ts';
import { blockMissing } from './block-missing.ts';
import { floorFinding } from './codes-floor.ts';
import { type Conditions, type Delivery, prepareDelivery } from './operating-point.ts';
import { distinct } from './shot.ts';
import { spreadModel } from './spread-terms.ts';
import { type LevelChoice, type Levels, trialLevels } from './trials-levels.ts';
import {
  type DesignInformation,
  designInformation,
  halfWidths,
  TRIAL_PARAMETERS,
  type TrialCell,
  type TrialParameter,
} from './trials-precision.ts';
import { type PlannedRun, planRuns } from './trials-runs.ts';

export const TRIALS_DEFAULTS = {
  seed: 1,
  pressures: 3,
  dwells: 3,
  /** Shots weighed together. */
  shots: 5,
  /** Wanted relative half-width of the viscosity factor [-]. */
  confidence: 0.05,
  /** From one weighing to the next [s]. */
  pace: 60,
  /** Two weighings of a setting at the least, so that the fit can tell scatter from a wrong model. */
  leastReplicates: 2,
  mostReplicates: 20,
  /** Shot to shot, where the recipe says nothing of its station [-]; *common practice, no source*. */
  repeatability: 0.02,
} as const;

export interface TrialsOptions extends Pick<Conditions, 'temperature' | 'lotFactor'> {
  readonly seed?: number;
  /** How many, or which [Pa]. */
  readonly pressures?: LevelChoice;
  /** How many, or which [s]. */
  readonly dwells?: LevelChoice;
  /** Ages at which blocks begin [s]; default `process.ready_after` alone. */
  readonly ages?: readonly number[];
  /** Weighings of each setting in each block; default: as many as the wanted confidence takes. */
  readonly replicates?: number;
  readonly shots?: number;
  /** Wanted half-widths of the 95 % intervals: of the viscosity factor [-], of the pressure offset [Pa]. */
  readonly confidence?: number;
  readonly offsetConfidence?: number;
  /** Relative standard deviation from shot to shot [-]; default: what the station's accuracy and jitter make. */
  readonly repeatability?: number;
  /** Smallest step of the balance [kg]. */
  readonly readability?: number;
  /** From one weighing to the next [s]. */
  readonly pace?: number;
}

export interface TrialsResult {
  readonly seed: number;
  readonly pressures_kPa: readonly number[];
  readonly dwells_s: readonly number[];
  readonly ages_min: readonly number[];
  readonly replicates: number;
  readonly shots_per_weighing: number;
  readonly runs: readonly PlannedRun[];
  /** Assumed from shot to shot; the mean over the settings where the recipe foretells it. */
  readonly repeatability_rel: number;
  readonly repeatability_from: 'recipe' | 'given' | 'assumed';
  /** What a fit of these runs will know; null for a parameter that the runs cannot move. */
  readonly precision: readonly {
    readonly name: TrialParameter;
    readonly standard_error: number | null;
    /** Of the 95 % interval. */
    readonly half_width: number | null;
    readonly wanted: number | null;
    readonly reached: boolean | null;
  }[];
  readonly correlation: readonly (readonly (number | null)[])[];
  readonly can_tell: readonly string[];
  readonly cannot_tell: readonly string[];
  readonly resin_mL: number;
  readonly syringes: number | null;
  readonly duration_min: number;
  readonly table: string | null;
  readonly sheet: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

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
  if (recipe.resin?.density === undefined) findings.push(blockMissing('resin.density', 'a trial by mass'));
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
    ages,
    levels: levels.result,
    scatter,
    options,
    density: recipe.resin!.density!.value,
  });
  const design = designInformation(cells);
  const replicates = options.replicates ?? sized(design, options);
  const runs = planRuns(delivery.result, {
    cells,
    ages,
    replicates,
    ...amounts(options),
    density: recipe.resin!.density!.value,
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
    runs: runs.result,
  };
  const result = { ...resultOf(plan), models: first.models, defaults: [...first.defaults, ...defaultsOf(plan)] };
  findings.push(...designFindings(plan, result), ...clockFindings(plan), ...resinFindings(plan, result));
  return { result, findings: distinct(findings) };
}

interface Scatter {
  readonly from: TrialsResult['repeatability_from'];
  /** Relative, from shot to shot at a setting [-]. */
  at(setting: { pressure: number; dwell: number }): number;
}

interface Plan {
  readonly recipe: Recipe;
  readonly options: TrialsOptions;
  readonly ages: readonly number[];
  readonly levels: Levels;
  readonly cells: readonly TrialCell[];
  readonly design: DesignInformation;
  readonly replicates: number;
  readonly scatter: Scatter;
  readonly runs: readonly PlannedRun[];
}

function amounts(options: TrialsOptions) {
  const { seed, shots, pace } = { ...TRIALS_DEFAULTS, ...options };
  return { seed, shots, pace };
}

function scatterOf(recipe: Recipe, options: TrialsOptions): Scatter {
  const given = options.repeatability;
  if (given !== undefined) return { from: 'given', at: () => given };
  const { pressure, dwell } = recipe.station ?? {};
  const model =
    pressure?.accuracy === undefined && dwell?.jitter === undefined ? null : spreadModel(recipe, options).result;
  if (model === null) return { from: 'assumed', at: () => TRIALS_DEFAULTS.repeatability };
  const own = ['pressure accuracy', 'dwell jitter'];
  return {
    from: 'recipe',
    at: setting =>
      Math.hypot(
        ...model
          .terms(setting)
          .filter(t => own.includes(t.cause))
          .map(t => t.relative),
      ),
  };
}

/** Every setting at every age, with the scatter of one weighing: that of its shots, and two roundings of the balance (δ/√12 each). */
function cellsOf(
  delivery: Delivery,
  p: { ages: readonly number[]; levels: Levels; scatter: Scatter; options: TrialsOptions; density: number },
): TrialCell[] {
  const { shots } = amounts(p.options);
  return p.ages.flatMap(age => {
    const point = delivery.at({ age }).result!;
    return p.levels.pressures.flatMap(pressure =>
      p.levels.dwells.map((dwell): TrialCell => {
        const mass = point.deliver({ pressure, dwell }).volume * p.density * shots;
        const rounding = (p.options.readability ?? 0) / Math.sqrt(6) / mass;
        const scatter = Math.hypot(p.scatter.at({ pressure, dwell }) / Math.sqrt(shots), rounding);
        return { pressure, dwell, point, scatter: Math.max(scatter, 1e-6) };
      }),
    );
  });
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

function resultOf(plan: Plan): Omit<TrialsResult, 'models' | 'defaults'> {
  const { design, replicates, options, runs, recipe, cells, scatter } = plan;
  const widths = halfWidths(design, replicates);
  const wanted = wantedOf(options);
  const { seed, shots, pace } = amounts(options);
  const resin = runs.reduce((sum, run) => sum + run.expected_uL * run.shots, 0) / 1e3;
  const prime = ((recipe.process?.prime ?? 0) * (runs[0]?.expected_uL ?? 0)) / 1e3;
  const syringe = recipe.station?.syringe;
  const usable = syringe === undefined ? null : (syringe.fill.value - syringe.left_over.value) * 1e6;
  const repeatability = cells.reduce((sum, cell) => sum + scatter.at(cell), 0) / cells.length;
  return {
    seed,
    pressures_kPa: plan.levels.pressures.map(p => p / 1e3),
    dwells_s: plan.levels.dwells,
    ages_min: plan.ages.map(age => age / 60),
    replicates,
    shots_per_weighing: shots,
    runs,
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
    resin_mL: resin + prime,
    syringes: usable === null || !(usable > 0) ? null : Math.ceil((resin + prime) / usable - 1e-9),
    duration_min: ((runs.at(-1)?.age_min ?? 0) * 60 + pace - plan.ages[0]!) / 60,
    table: null,
    sheet: null,
  };
}

function tellings({ design, ages, levels, replicates }: Plan): Pick<TrialsResult, 'can_tell' | 'cannot_tell'> {
  const can: string[] = [];
  const cannot: string[] = [];
  const say = (known: boolean, yes: string, no: string) => void (known ? can.push(yes) : cannot.push(no));
  const [, offset, dead] = design.free.map(free => free && design.full);
  say(offset!, 'pressure offset apart from viscosity', 'pressure offset from viscosity: there is one pressure');
  say(dead!, 'dead time apart from viscosity', 'dead time from viscosity: there is one dwell');
  say(
    levels.pressures.length > 2,
    'whether the flow grows with the pressure as the flow model says',
    'a wrong flow model: it takes three pressures',
  );
  say(
    levels.dwells.length > 2,
    'whether the shot grows evenly with the dwell',
    'a slow rise of the air from a dead time: it takes three dwells',
  );
  say(ages.length > 1, 'whether the resin thickens as the cure model says', 'thickening with age: there is one age');
  say(replicates > 1, 'scatter apart from a wrong model', 'scatter from a wrong model: nothing is repeated');
  cannot.push('lot from needle from temperature: what they do is all in the viscosity factor');
  return { can_tell: can, cannot_tell: cannot };
}

function designFindings(
  { design, options }: Plan,
  result: Pick<TrialsResult, 'precision' | 'replicates' | 'cannot_tell'>,
): Finding[] {
  const findings: Finding[] = [];
  const fixed = TRIAL_PARAMETERS.filter((_, k) => !design.free[k] || !design.full);
  if (fixed.length > 0) {
    const message = `the trial cannot tell ${result.cannot_tell.slice(0, fixed.length).join('; nor ')}`;
    findings.push(floorFinding('trials-confounded', null, message));
  }
  const short = result.precision.filter(p => p.reached === false);
  for (const { name, half_width, wanted } of short) {
    const unit = name === 'pressure_offset_kPa' ? ' kPa' : '';
    const text = (value: number) => (unit === '' ? inPercent(value) : `${Number(value.toPrecision(3))}${unit}`);
    const most = options.replicates === undefined ? ', the most that is tried' : '';
    const message = `with ${result.replicates} replicates${most}, the half-width of ${name.replace(/_kPa$/, '')} is ${text(half_width!)}, wanted was ${text(wanted!)}`;
    findings.push(floorFinding('trials-precision', null, message));
  }
  return findings;
}

function clockFindings({ runs, ages, options }: Plan): Finding[] {
  const { pace } = amounts(options);
  return ages.flatMap((age, block) => {
    const next = ages[block + 1];
    const last = runs.filter(run => run.block === block + 1).at(-1);
    if (next === undefined || last === undefined) return [];
    const end = last.age_min * 60 + pace;
    if (end <= next + 1e-9) return [];
    const message = `the block of ${inMinutes(age)} ends at ${inMinutes(end)}, the next is due at ${inMinutes(next)}`;
    return [floorFinding('trials-ages', null, message)];
  });
}

function resinFindings({ recipe }: Plan, result: Pick<TrialsResult, 'resin_mL' | 'syringes'>): Finding[] {
  if (result.syringes === null || result.syringes < 2) return [];
  const fill = recipe.station!.syringe!.fill;
  const message = `the trial takes ${inMillilitres(result.resin_mL * 1e-6)}, a syringe is filled with ${inMillilitres(fill.value)}`;
  return [floorFinding('trials-resin', fill.path, message)];
}

function defaultsOf({ options, scatter }: Plan): string[] {
  const d = TRIALS_DEFAULTS;
  return [
    ...(options.shots === undefined ? [`${d.shots} shots on one weighing`] : []),
    ...(options.pace === undefined ? [`one weighing a minute`] : []),
    ...(options.confidence === undefined
      ? [`wanted half-width of the viscosity factor ${inPercent(d.confidence)}`]
      : []),
    ...(scatter.from === 'assumed' ? [`repeatability ${inPercent(d.repeatability)} from shot to shot, assumed`] : []),
    ...(options.readability === undefined ? ['readability: the balance is taken as exact'] : []),
  ];
}
