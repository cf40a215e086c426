import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DispenseAim, dispenseAim } from '../cavity/dispense-aim.ts';
import { givenSetting } from '../delivery/given-setting.ts';
import { resolveNeedle } from '../delivery/needle.ts';
import type { Conditions, OperatingPoint, Setting } from '../delivery/operating-point.ts';
import { primeShotsOf, type RunStart, runStart } from '../program/ramp-shots.ts';
import { ageOfShot, pressesPerShot, shotAtAge } from '../program/shot-clock.ts';
import { type Program, releasedProgram, settingAt } from '../setpoint/program-in-force.ts';
import type { EarlierChecks } from './filtered-thickness.ts';
import { type Evidence, evidenceOf, type ScatterTest, scatterTest } from './release-evidence.ts';
import { type ReadVolumes, type ReleaseReadings, readVolumes } from './release-readings.ts';
import { type ReleaseSpread, releaseSpread } from './release-spread.ts';
import type { Target } from './shots-left.ts';
import { proportionalSyringe, type ShotMoment, type SyringeModel, syringeModel } from './syringe-model.ts';

export interface ReleaseOptions extends ReleaseReadings, Conditions {
  /** The shot of the program at which it was checked; default: the one nearest to `age`, else the first. */
  readonly shot?: number;
  /** What was really set, where it was not the program [Pa], [s]. */
  readonly pressure?: number;
  readonly dwell?: number;
  /** Greatest relative correction that a trim may make [-]; default: a quarter, or more where the recipe spreads more. */
  readonly trimLimit?: number;
  /** What checks before of the same lot or needle lead to expect; the decision then rests on both. */
  readonly earlier?: EarlierChecks;
}

/** A check of a syringe: where it stands, what was set, what was read, and what the recipe has to say; SI. */
export interface SyringeCheck {
  readonly recipe: Recipe;
  readonly temperature: number | undefined; // [K] as measured
  readonly target: Target;
  readonly perConnector: number; // [m³]
  /** The program in force. */
  readonly program: Program;
  /** Where the run goes on once the check is made: its shot and age, and what has left the syringe. */
  readonly from: RunStart;
  readonly moment: ShotMoment;
  readonly setting: Setting;
  readonly read: ReadVolumes;
  readonly evidence: Evidence;
  readonly scatter: ScatterTest;
  readonly spread: ReleaseSpread;
  readonly model: SyringeModel;
  /** What the recipe has for that moment; null without a flow model, or where the resin has set. */
  readonly point: OperatingPoint | null;
  /** Lot factor that was taken, and over the recipe's: the thickness that is expected. */
  readonly lotFactor: number;
  readonly expected: number;
  readonly trimLimit: number | undefined;
  readonly earlier: EarlierChecks | null;
}

/** Scatter from shot to shot where the recipe says nothing of its station [-]; *common practice, no source*, as in a trial. */
const REPEATABILITY = 0.02;

/** Puts a check on the program of its recipe. Needs connector, needle, `resin` as the readings ask, and a setting. */
export function syringeCheck(recipe: Recipe, options: ReleaseOptions): Outcome<SyringeCheck> {
  const place = checkPlace(recipe, options);
  const read = readVolumes(recipe, { ...options, ...(place.result !== null && { age: place.result.place.age }) });
  const findings = [...read.findings, ...place.findings];
  if (read.result !== null && place.result !== null) {
    findings.push(...slipFindings(read.result, place.result.target.aim));
  }
  if (read.result === null || place.result === null || findings.some(f => f.code === 'release-reading')) {
    return { result: null, findings };
  }
  const { result, findings: more } = preparedCheck(recipe, options, place.result);
  return { result: result(read.result), findings: [...findings, ...more] };
}

/** Where a check stands: on which program, at which shot, against what. */
export interface CheckPlace {
  readonly aim: DispenseAim;
  readonly program: Program;
  readonly place: RunStart;
  readonly target: Target;
}

/** Where a check of this recipe stands, whatever it reads; null with findings where something lacks. */
export function checkPlace(recipe: Recipe, options: ReleaseOptions): Outcome<CheckPlace> {
  const aim = dispenseAim(recipe, 'a release');
  const program = programOf(recipe, options);
  const needle = resolveNeedle(recipe);
  const findings = [...aim.findings, ...program.findings];
  const { min, max } = aim.result?.book.backfill ?? { min: null, max: null };
  if (aim.result === null || program.result === null || needle.result === null || min === null || max === null) {
    return { result: null, findings };
  }
  const prime = primeShotsOf(recipe, aim.result, needle.result);
  const place = placeOf(recipe, options, { aim: aim.result, prime });
  const target = { window: { min, max }, aim: aim.result.aim, tolerance: recipe.process?.tolerance?.value ?? null };
  return { result: { aim: aim.result, program: program.result, place, target }, findings };
}

/** A check of this recipe made ready for any readings. */
export function preparedCheck(
  recipe: Recipe,
  options: ReleaseOptions,
  { aim, program, place, target }: CheckPlace,
): { result: (read: ReadVolumes) => SyringeCheck; findings: readonly Finding[] } {
  const planned = settingAt(program, place.shot);
  const setting = { pressure: options.pressure ?? planned.pressure, dwell: options.dwell ?? planned.dwell };
  const moment = { age: place.age, dispensed: options.dispensed ?? place.dispensed + aim.boreShot };
  const model = modelOf(recipe, options, { dwell: planned.dwell, volume: aim.aim });
  const now = model.result.point(moment);
  const spread = releaseSpread(recipe, setting);
  const own = recipe.resin?.lot_factor.value ?? 1;
  const lotFactor = options.lotFactor ?? own;
  const of = (read: ReadVolumes): SyringeCheck => {
    const shotScatter = (spread.shot ?? REPEATABILITY) / Math.sqrt(read.shots);
    const evidence = evidenceOf(read, shotScatter);
    const used = evidence.mean * read.shots * evidence.count;
    return {
      ...{ recipe, temperature: options.temperature, target, perConnector: aim.aim + aim.boreShot },
      ...{ program, moment, setting, read, evidence, spread, model: model.result, point: now.result },
      from: { ...place, dispensed: place.dispensed + used },
      scatter: scatterTest(evidence, Math.hypot(shotScatter, read.readingScatter)),
      ...{ lotFactor, expected: lotFactor / own, trimLimit: options.trimLimit },
      earlier: options.earlier ?? null,
    };
  };
  return { result: of, findings: [...model.findings, ...now.findings] };
}

/** The released program; what is not released is taken from the options, and the dwell then stays. */
function programOf(recipe: Recipe, options: ReleaseOptions): Outcome<Program> {
  const released = releasedProgram(recipe);
  if (released !== null) return { result: released, findings: [] };
  const { result, findings } = givenSetting(recipe, options, 'a release');
  if (result === null) return { result, findings };
  const stages = [{ fromShot: 1, first: result.dwell, add: 0, every: 1 }];
  return { result: { pressure: result.pressure, stages, pressesPerShot: pressesPerShot(recipe) }, findings };
}

/** A shot places the program, an age the resin; each gives the other where it stands alone. */
function placeOf(recipe: Recipe, options: ReleaseOptions, p: { aim: DispenseAim; prime: number }): RunStart {
  const shot = options.shot ?? (options.age === undefined ? 1 : shotAtAge(recipe, options.age));
  const start = runStart(recipe, p.aim, p.prime, shot);
  return {
    shot,
    age: options.age ?? ageOfShot(recipe, shot),
    dispensed: options.dispensed ?? start.dispensed,
  };
}

function modelOf(
  recipe: Recipe,
  { temperature }: ReleaseOptions,
  plain: { dwell: number; volume: number },
): { result: SyringeModel; findings: readonly Finding[] } {
  const model = syringeModel(recipe, temperature === undefined ? {} : { temperature });
  if (model.result !== null) return { result: model.result, findings: model.findings };
  const because = model.findings.find(f => f.severity === 'error')?.message ?? 'by the recipe nothing flows';
  const missing = floorFinding('release-trim-proportional', null, `the trim is in proportion: ${because}`);
  return { result: proportionalSyringe(plain), findings: [missing] };
}

/** A shot this many times the aim, or this part of it, is a slip of unit or count and no syringe. */
const SLIP = 20;

function slipFindings(read: ReadVolumes, aim: number): Finding[] {
  return read.volumes.flatMap((volume, i) => {
    if (volume < aim * SLIP && volume > aim / SLIP) return [];
    const what = read.kind === 'dots' ? 'dot' : 'weighing';
    const message = `${what} ${i + 1} makes a shot of ${inWords(volume, 'µL')}, the aim is ${inWords(aim, 'µL')}`;
    return [floorFinding('release-reading', null, message, 'check the unit, and the number of shots (`--shots`)')];
  });
}
