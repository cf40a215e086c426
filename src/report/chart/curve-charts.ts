import type { CureFitResult } from '../../analysis/fit/fit-cure.ts';
import type { FlowCurveResult } from '../../analysis/fit/fit-flow-curve.ts';
import type { FittedModel } from '../../analysis/fit/fit-model.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { estimatesText } from '../words/estimate-text.ts';
import { settingText } from '../words/number-text.ts';
import type { Axis, Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import type { FitChartInput } from './fit-charts.ts';
import { lineChart } from './line-chart.ts';

/** Lines of models that one chart can hold apart. */
const SHOWN = 3;
const STEPS = 60;
const CURVE = { width: 170, height: 110 };
const RESIDUALS = { width: 170, height: 70 };

/** A measured flow curve, brought to the reference temperature, with the best models, and what the best leaves over. */
export function flowCurveCharts(
  fit: FlowCurveResult,
  curveOf: (model: FittedModel) => ((shearRate: number) => number) | null,
  { title: of, measure }: FitChartInput,
): Drawing[] {
  const [low, high] = fit.shear_rate_range_per_s;
  const rates = Array.from({ length: STEPS + 1 }, (_, i) => low * (high / low) ** (i / STEPS));
  const curves = fit.models.flatMap((model): Series[] => {
    const curve = curveOf(model);
    return curve === null ? [] : [curveSeries(model.name, rates, rates.map(curve))];
  });
  const x: Axis = { label: 'shear rate 1/s', scale: 'log' };
  const measured = fit.readings.map(r => [r.shear_rate_per_s, r.reference_viscosity_Pa_s] as const);
  const title = `${of}: flow curve at ${degrees(fit.reference_temperature_C)}`;
  const series = [readingSeries('measured', measured, 0), ...dashed(curves.slice(0, SHOWN))];
  return [
    lineChart(
      { title, x, y: { label: 'viscosity Pa.s', scale: 'log' }, series, words: bestInWords(fit.models) },
      CURVE,
      measure,
    ),
    ...residualChart(
      of,
      fit.models[0],
      fit.readings.map(r => r.shear_rate_per_s),
      x,
      measure,
    ),
  ];
}

/**
 * Measured thickening with the best models at one temperature, or with the best at each of several, and what the best leaves over.
 * `curveOf` gives viscosities or factors, as were measured.
 */
export function cureCharts(
  fit: CureFitResult,
  curveOf: (model: FittedModel, at: { ages: readonly number[]; temperature: number }) => readonly number[] | null,
  { title: of, measure }: FitChartInput,
): Drawing[] {
  const viscosities = fit.readings.some(r => r.viscosity_Pa_s !== null);
  const several = fit.temperatures_C.length > 1;
  const models = fit.models.slice(0, several ? 1 : SHOWN);
  const series = fit.temperatures_C.flatMap((temperature, t): Series[] => {
    const own = fit.readings.filter(r => r.temperature_C === temperature);
    const last = Math.max(...own.map(r => r.age_min));
    const minutes = Array.from({ length: STEPS + 1 }, (_, i) => (last * i) / STEPS);
    const at = { ages: minutes.map(age => age * 60), temperature: temperature + 273.15 };
    const measured = own.map(r => [r.age_min, (r.viscosity_Pa_s ?? r.factor)!] as const);
    const curves = models.flatMap((model): Series[] => {
      const values = curveOf(model, at);
      const name = several ? `${model.name}, ${degrees(temperature)}` : model.name;
      return values === null ? [] : [curveSeries(name, minutes, values)];
    });
    const readings = readingSeries(several ? `measured, ${degrees(temperature)}` : 'measured', measured, t);
    return [readings, ...dashed(curves, several ? t : 0)];
  });
  const x: Axis = { label: 'age min' };
  const y: Axis = { label: viscosities ? 'viscosity Pa.s' : 'viscosity over that at age 0', scale: 'log' };
  return [
    lineChart({ title: `${of}: thickening with age`, x, y, series, words: bestInWords(fit.models) }, CURVE, measure),
    ...residualChart(
      of,
      fit.models[0],
      fit.readings.map(r => r.age_min),
      x,
      measure,
    ),
  ];
}

/** The best model by its fitted values. */
function bestInWords([best]: readonly FittedModel[]): string[] {
  return best === undefined || best.parameters.length === 0 ? [] : [`${best.name}. ${estimatesText(best.parameters)}`];
}

function residualChart(
  of: string,
  best: FittedModel | undefined,
  at: readonly number[],
  x: Axis,
  measure: TextMeasure | undefined,
): Drawing[] {
  const residuals = best?.residuals_pct;
  if (best === undefined || residuals === null || residuals === undefined) return [];
  const series: Series = {
    ...readingSeries(
      'reading',
      residuals.map((r, i) => [at[i]!, r] as const),
      0,
    ),
    notes: best.outliers.map(reading => ({ index: reading - 1, text: `reading ${reading}` })),
  };
  const rules = [{ axis: 'y' as const, at: 0, dash: 'solid' as const }];
  const title = `${of}: residuals of ${best.name}`;
  return [lineChart({ title, x, y: { label: '% above the fit' }, series: [series], rules }, RESIDUALS, measure)];
}

const MARKERS = ['dot', 'ring', 'square', 'triangle', 'diamond', 'cross', 'plus'] as const;

function readingSeries(name: string, points: Series['points'], place: number): Series {
  return { name, points, dash: 'none', marker: MARKERS[place % MARKERS.length]! };
}

function curveSeries(name: string, x: readonly number[], y: readonly number[]): Series {
  return { name, points: x.flatMap((at, i) => (y[i]! > 0 ? [[at, y[i]!] as const] : [])), marker: 'none' };
}

const DASHES = ['solid', 'dashed', 'dotted', 'dash-dot'] as const;

/** Curves told apart by their dashes, the first solid. */
function dashed(curves: readonly Series[], first = 0): Series[] {
  return curves.map((curve, i) => ({ ...curve, dash: DASHES[(first + i) % DASHES.length]! }));
}

function degrees(celsius: number): string {
  return `${settingText(celsius, 4)} °C`;
}
