import { airModelFindings } from '../analysis/delivery/air-model.ts';
import { ageFindings } from '../analysis/delivery/cure-model.ts';
import { resinCourse } from '../analysis/delivery/resin-course.ts';
import { relaxationFindings } from '../analysis/dot/dot.ts';
import { rectangleFindings } from '../analysis/needles/bore-shot.ts';
import { oven } from '../analysis/oven/oven.ts';
import { flowFindings } from '../analysis/shot/shot-findings.ts';
import type { Finding } from '../diagnostics/finding.ts';
import { yieldStressOf } from '../physics/rheology/rheology.ts';
import { readingFindings } from './dot-reading.ts';
import type { RuleContext } from './rule-context.ts';

/**
 * What the analyses find by themselves while the rules look at their results: their codes, with why and remedy, stand in
 * the tables beside them. Left out is what is no fault of a recipe: blocks it does not have.
 */
export function analysisFindings(context: RuleContext): Finding[] {
  return [
    ...context.book.findings,
    ...resinAndAir(context),
    ...context.start.findings,
    ...rectangle(context),
    ...flow(context),
    ...lastAge(context),
    ...context.dot.findings,
    ...relaxation(context),
    ...readingFindings(context),
    ...context.holdBack.findings,
    ...cured(context),
  ].filter(({ code }) => !NO_FAULT.has(code));
}

const NO_FAULT = new Set(['block-missing', 'cavity-incomplete']);

/** Needle, resin and air, each by itself where the recipe does not have them all. */
function resinAndAir(context: RuleContext): readonly Finding[] {
  const { needle, resin, station } = context.recipe;
  if (needle !== undefined && resin?.rheology !== undefined) return context.delivery.findings;
  return [
    ...context.needle.findings,
    ...(resin?.rheology === undefined ? [] : resinCourse(context.recipe).findings),
    ...(station === undefined ? [] : airModelFindings(station)),
  ];
}

/** What the bore shot has to pass. */
function rectangle({ book, start }: RuleContext): Finding[] {
  return book.result === null || start.result === null ? [] : rectangleFindings(book.result, start.result);
}

/** Of the steady flow at the released pressure. */
function flow({ recipe, start: { result: point } }: RuleContext): Finding[] {
  const pressure = recipe.settings?.pressure?.value;
  if (point === null || pressure === undefined) return [];
  const flow = point.steady(pressure, recipe.resin?.density?.value ?? null);
  return flowFindings(recipe, { point, flow, pressure });
}

/** Of the age of the last shot; that of the first is among those of the start. */
function lastAge({ run, delivery }: RuleContext): Finding[] {
  const curve = delivery.result?.course.cure;
  return run === null || curve === undefined ? [] : ageFindings({ curve, age: run.end.age });
}

function relaxation({ dot, window, start }: RuleContext): Finding[] {
  if (dot.result === null || start.result === null || window === null) return [];
  const yieldStress = yieldStressOf(start.result.rheology);
  return relaxationFindings({ dot: dot.result, volume: window.aim, yieldStress });
}

const CURED = new Set(['oven-glass-low', 'oven-no-gel', 'oven-reach']);

/** Of the oven, where the resin has kinetics; what keeps it from being computed is no fault of a recipe. */
function cured({ recipe }: RuleContext): Finding[] {
  if (recipe.process?.oven === undefined || recipe.resin?.cure.model !== 'castro-macosko') return [];
  return oven(recipe).findings.filter(({ code }) => CURED.has(code));
}
