import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, inWords, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { chiSquareQuantile } from '../../stats/distributions.ts';
import { settingAt } from '../setpoint/program-in-force.ts';
import { type JudgedCheck, judgeCheck } from './judge-syringe.ts';
import { type ReleaseOptions, type SyringeCheck, syringeCheck } from './measured-syringe.ts';
import { type Evidence, wideAt } from './release-evidence.ts';
import { SCATTER_LEVEL } from './release-faults.ts';
import { type ReleaseResult, releaseKeys } from './release-keys.ts';

export type { ReleaseOptions, ReleaseResult };

/**
 * Whether a syringe may be used: the mean shot of its dots or weighings with a 95 % interval, turned into how thick it is beside the
 * recipe, and that into every shot it has left by the program in force; the rule is at `judge`.
 */
export function release(recipe: Recipe, options: ReleaseOptions): Outcome<ReleaseResult> {
  const { result: check, findings: found } = syringeCheck(recipe, options);
  if (check === null) return { result: null, findings: distinct(found) };
  const judged = judgeCheck(check);
  if (judged === null) return { result: null, findings: distinct([...found, unreachable(check)]) };
  // what keeps the resin from being worked out at its age is a reason to reject, and said there
  const findings = judged.decision === 'reject' ? found.filter(({ severity }) => severity !== 'error') : [...found];
  findings.push(...conditionFindings(options), ...countFindings(check), ...evidenceFindings(check, judged));
  findings.push(...trimFindings(check, judged));
  return { result: releaseKeys(check, judged), findings: distinct(findings) };
}

function unreachable({ evidence, setting }: SyringeCheck): Finding {
  const message = `a shot of ${inWords(evidence.mean, 'µL')} cannot come of ${inWords(setting.pressure, 'kPa')} for ${setting.dwell} s, however thick or thin the resin`;
  return floorFinding('release-reading', null, message, 'check the readings, `--shots`, `--pressure` and `--dwell`');
}

function conditionFindings({ age, shot, temperature }: ReleaseOptions): Finding[] {
  const placed = age !== undefined || shot !== undefined;
  const missing = [...(placed ? [] : ['age']), ...(temperature === undefined ? ['temperature'] : [])];
  if (missing.length === 0) return [];
  const message = `${missing.join(' and ')} of the check ${missing.length > 1 ? 'are' : 'is'} not given; the recipe's ${missing.length > 1 ? 'are' : 'is'} taken`;
  return [floorFinding('release-conditions', null, message)];
}

/** A mean this near to another whole number of shots was probably counted wrong [-]. */
const NEAR_COUNT = 0.15;

/** Says so when the readings look like another number of shots. */
function countFindings({ read, evidence, target }: SyringeCheck): Finding[] {
  const shots = (evidence.mean / target.aim) * read.shots;
  const count = Math.round(shots);
  const off = Math.abs(shots / read.shots - 1);
  if (count < 1 || count === read.shots || Math.abs(shots / count - 1) > NEAR_COUNT || off < 2 * NEAR_COUNT) return [];
  const what = read.kind === 'dots' ? 'dot' : 'weighing';
  const taken = `${counted(read.shots, 'shot')}${read.shotsOfGauge ? ', as the gauge has on a circle' : ''}`;
  const message = `a ${what} was taken for ${taken}, and holds about ${count} of the aim`;
  return [floorFinding('release-shots', null, message, `give \`--shots ${count}\` if that is what was laid`)];
}

/** "its scatter of 0.6 % is assumed, not seen …": with how much wider the interval would be at the scatter that a check of three would still pass. */
function oneReading(evidence: Evidence): string {
  const { mean, assumedScatter, halfWidth } = evidence;
  const assumed = inWords(assumedScatter / mean, '%', 2);
  const wider = wideAt(evidence, passedBy(READINGS_WANTED));
  const ends = [halfWidth, wider].map(half => inWords(half / mean, '%', 2));
  return `there is one reading: its scatter of ${assumed} is assumed, not seen. Were it ${shortened(passedBy(READINGS_WANTED), 2)} times that, which ${READINGS_WANTED} readings could still show and pass, the interval would be ± ${ends[1]} in place of ± ${ends[0]}`;
}

/** What the remedy of a single reading asks for. */
const READINGS_WANTED = 3;

/** Scatter over the predicted one up to which so many readings pass the test of `scatterTest`. */
function passedBy(readings: number): number {
  return Math.sqrt(chiSquareQuantile(1 - SCATTER_LEVEL, readings - 1) / (readings - 1));
}

function evidenceFindings({ evidence }: SyringeCheck, { undecided, moreReadings: more }: JudgedCheck): Finding[] {
  const findings: Finding[] = [];
  if (evidence.count === 1) {
    findings.push(floorFinding('release-one-reading', null, oneReading(evidence)));
  }
  if (!undecided) return findings;
  const moreReadings = more();
  const message =
    moreReadings === null
      ? 'the readings do not decide, and more of the same kind would not: what they share is too uncertain'
      : `the readings do not decide; ${moreReadings} more like these would`;
  const help =
    moreReadings === null
      ? 'put more shots on one dot, calibrate the dot with `resin.dot.calibration`, or weigh'
      : undefined;
  return [...findings, floorFinding('release-undecided', null, message, help)];
}

function trimFindings({ recipe, from }: SyringeCheck, { trim }: JudgedCheck): Finding[] {
  const [low, high] = recipe.process?.practical_dwell ?? [];
  if (trim === null || low === undefined || high === undefined) return [];
  const { dwell } = settingAt(trim.program, from.shot);
  if (atLeast(dwell, low.value) && atMost(dwell, high.value)) return [];
  const message = `the trimmed dwell is ${dwell} s, practical are ${low.value} s to ${high.value} s`;
  return [floorFinding('release-trim-impractical', low.path, message)];
}
