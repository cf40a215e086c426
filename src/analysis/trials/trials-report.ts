import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inMillilitres, inMinutes, inPercent, inWords, shortened } from '../../diagnostics/number-words.ts';
import { amounts, type Plan, TRIALS_DEFAULTS, type TrialsResult } from './trials-plan.ts';
import { TRIAL_PARAMETERS } from './trials-precision.ts';

/** What such a trial can tell apart, and what not, in words. */
export function tellings({
  design,
  ages,
  levels,
  replicates,
  dot,
}: Plan): Pick<TrialsResult, 'can_tell' | 'cannot_tell'> {
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
  if (dot !== null) cannot.push('a wrong contact angle from viscosity: it makes all dots larger or smaller alike');
  cannot.push('lot from needle from temperature: what they do is all in the viscosity factor');
  return { can_tell: can, cannot_tell: cannot };
}

/** What keeps a trial from telling what it is made for. */
export function trialFindings(plan: Plan, result: Omit<TrialsResult, 'models' | 'defaults'>): Finding[] {
  return [...designFindings(plan, result), ...clockFindings(plan), ...resinFindings(plan, result)];
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
    const text = (value: number) => (unit === '' ? inPercent(value) : `${shortened(value, 3)}${unit}`);
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
    const end = last.age + pace;
    if (end <= next + 1e-9) return [];
    const message = `the block of ${inMinutes(age)} ends at ${inMinutes(end)}, the next is due at ${inMinutes(next)}`;
    return [floorFinding('trials-ages', null, message)];
  });
}

function resinFindings({ recipe, resin }: Plan, result: Pick<TrialsResult, 'syringes'>): Finding[] {
  if (result.syringes === null || result.syringes < 2) return [];
  const { fill, left_over } = recipe.station!.syringe!;
  const gives = inMillilitres(fill.value - left_over.value);
  const message = `the trial takes ${inMillilitres(resin)}, a syringe gives ${gives}: ${inMillilitres(fill.value)} less what is left over`;
  return [floorFinding('trials-resin', fill.path, message)];
}

/** What was taken because nothing else was said. */
export function defaultsOf({ options, scatter, dot }: Plan): string[] {
  const d = TRIALS_DEFAULTS;
  const what = dot === null ? 'weighing' : 'dot';
  return [
    ...(options.shots === undefined ? [`${d.shots} shots on one ${what}`] : []),
    ...(options.pace === undefined ? [`one ${what} a minute`] : []),
    ...(options.confidence === undefined
      ? [`wanted half-width of the viscosity factor ${inPercent(d.confidence)}`]
      : []),
    ...(scatter.from === 'assumed' ? [`repeatability ${inPercent(d.repeatability)} from shot to shot, assumed`] : []),
    ...(dot === null && options.readability === undefined ? ['readability: the balance is taken as exact'] : []),
    ...(dot !== null && options.readingError === undefined
      ? [`a dot is misread by ${inWords(dot.readingError, 'mm')} at most`]
      : []),
  ];
}
