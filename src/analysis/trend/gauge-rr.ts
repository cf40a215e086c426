import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { type GaugeIntervals, gaugeIntervals } from '../../stats/gauge-intervals.ts';
import {
  type AnovaStudy,
  type CrossedReadings,
  distinctCategories,
  type GaugeComponents,
  gaugeAnova,
  gaugeAverageRange,
  type VarianceRow,
} from '../../stats/gauge-rr.ts';

/** Readings of a gauge study, in their own unit, in any order. */
export interface GaugeRrInput {
  readonly unit: string | null;
  readonly readings: readonly { readonly part: string; readonly operator: string; readonly value: number }[];
}

export interface GaugeRrOptions {
  /** Default: analysis of variance. */
  readonly method?: 'anova' | 'range';
  /** Full width of the tolerance, in the unit of the readings. */
  readonly tolerance?: number;
}

type Ends = readonly [number, number];

export interface GaugeRrResult {
  readonly method: 'anova' | 'range';
  readonly unit: string | null;
  readonly repeatability_sd: number;
  /** Operators and interaction together. */
  readonly reproducibility_sd: number;
  readonly operator_sd: number;
  /** Zero where it was pooled, null where the method cannot tell it. */
  readonly interaction_sd: number | null;
  readonly part_sd: number;
  readonly total_sd: number;
  readonly gauge_rr_sd: number;
  /** 100·sd/total sd; null where nothing varies. */
  readonly study_pct: {
    readonly repeatability: number;
    readonly reproducibility: number;
    readonly gauge_rr: number;
    readonly part: number;
  } | null;
  /** 100·6·gauge sd over the full tolerance. */
  readonly tolerance_pct: number | null;
  readonly distinct_categories: number | null;
  readonly interaction_pooled: boolean | null;
  /** 95 % intervals; null for averages and ranges, which leave none. */
  readonly intervals: {
    readonly repeatability_sd: Ends;
    readonly reproducibility_sd: Ends;
    readonly interaction_sd: Ends | null;
    readonly part_sd: Ends;
    readonly total_sd: Ends;
    readonly gauge_rr_sd: Ends;
    readonly gauge_rr_study_pct: Ends;
    readonly tolerance_pct: Ends | null;
    readonly distinct_categories: readonly [number, number | null];
  } | null;
  readonly anova: readonly VarianceRow[] | null;
  /** The table after pooling, from which the deviations come. */
  readonly anova_pooled: readonly VarianceRow[] | null;
  readonly parts: number;
  readonly operators: number;
  readonly repeats: number;
}

/** Crossed gauge study, in the unit of the readings. */
export function gaugeRr(input: GaugeRrInput, options: GaugeRrOptions = {}): Outcome<GaugeRrResult> {
  const method = options.method ?? 'anova';
  const { readings, findings } = crossed(input);
  if (options.tolerance !== undefined && !(options.tolerance > 0 && Number.isFinite(options.tolerance))) {
    findings.push(
      floorFinding(
        'trend-option-invalid',
        null,
        `tolerance is ${options.tolerance}; it is the full width and must be above zero`,
      ),
    );
  }
  if (readings === null || findings.length > 0) return { result: null, findings };
  const study: GaugeComponents = method === 'anova' ? gaugeAnova(readings) : gaugeAverageRange(readings);
  const anova = method === 'anova' ? (study as AnovaStudy) : null;
  const pct = (sd: number): number => (100 * sd) / study.total;
  const result: GaugeRrResult = {
    method,
    unit: input.unit,
    repeatability_sd: study.repeatability,
    reproducibility_sd: study.reproducibility,
    operator_sd: study.operator,
    interaction_sd: study.interaction,
    part_sd: study.part,
    total_sd: study.total,
    gauge_rr_sd: study.gauge,
    study_pct:
      study.total > 0
        ? {
            repeatability: pct(study.repeatability),
            reproducibility: pct(study.reproducibility),
            gauge_rr: pct(study.gauge),
            part: pct(study.part),
          }
        : null,
    tolerance_pct: options.tolerance === undefined ? null : (100 * 6 * study.gauge) / options.tolerance,
    distinct_categories: distinctCategories(study),
    interaction_pooled: anova === null ? null : anova.pooledAnova !== null,
    intervals: anova === null || !(study.total > 0) ? null : intervalKeys(anova, readings, options.tolerance),
    anova: anova === null ? null : anova.anova,
    anova_pooled: anova === null ? null : anova.pooledAnova,
    parts: readings.length,
    operators: readings[0]!.length,
    repeats: readings[0]![0]!.length,
  };
  return { result, findings: verdict(study) };
}

function intervalKeys(
  study: AnovaStudy,
  readings: CrossedReadings,
  tolerance: number | undefined,
): NonNullable<GaugeRrResult['intervals']> {
  const size = { parts: readings.length, operators: readings[0]!.length, repeats: readings[0]![0]!.length };
  const of: GaugeIntervals = gaugeIntervals(study, size);
  const ends = ({ low, high }: { low: number; high: number }, factor = 1): Ends => [factor * low, factor * high];
  // Categories fall as the share of the gauge grows: part/gauge = √(1/share² − 1).
  const categories = (share: number) => distinctCategories({ part: Math.sqrt(1 - share * share), gauge: share });
  return {
    repeatability_sd: ends(of.repeatability),
    reproducibility_sd: ends(of.reproducibility),
    interaction_sd: of.interaction && ends(of.interaction),
    part_sd: ends(of.part),
    total_sd: ends(of.total),
    gauge_rr_sd: ends(of.gauge),
    gauge_rr_study_pct: ends(of.share, 100),
    tolerance_pct: tolerance === undefined ? null : ends(of.gauge, 600 / tolerance),
    distinct_categories: [categories(of.share.high)!, categories(of.share.low)],
  };
}

/** Readings by part and operator, or what keeps the study from being crossed and balanced, all of it. */
function crossed(input: GaugeRrInput): { readings: CrossedReadings | null; findings: Finding[] } {
  const parts = [...new Set(input.readings.map(r => r.part))];
  const operators = [...new Set(input.readings.map(r => r.operator))];
  const readings = parts.map(part =>
    operators.map(operator => input.readings.filter(r => r.part === part && r.operator === operator).map(r => r.value)),
  );
  const findings: Finding[] = [];
  const odd = (message: string): void => void findings.push(floorFinding('gauge-study-unbalanced', null, message));
  if (parts.length < 2) odd(`the study has ${counted(parts.length, 'part')}; two are the least`);
  if (operators.length < 2) odd(`the study has ${counted(operators.length, 'operator')}; two are the least`);
  const repeats = Math.max(0, ...readings.flat().map(cell => cell.length));
  if (repeats < 2) odd('every operator measured every part once at most; two readings are the least');
  for (const [i, row] of readings.entries()) {
    for (const [j, cell] of row.entries()) {
      if (cell.length !== repeats)
        odd(`operator "${operators[j]}" measured part "${parts[i]}" ${cell.length} times, others ${repeats} times`);
    }
  }
  return { readings: findings.length === 0 ? readings : null, findings };
}

/** Shares of the study variation up to which a gauge is good, and from which it is poor [-], and categories; AIAG, Measurement Systems Analysis, 4th ed. */
const GOOD = 0.1;
const POOR = 0.3;
const CATEGORIES = 5;

function verdict(study: GaugeComponents): Finding[] {
  if (!(study.total > 0)) return [];
  const share = study.gauge / study.total;
  const categories = distinctCategories(study);
  const facts = `the gauge makes ${(100 * share).toFixed(1)} % of the study variation and tells ${categories ?? 'any number of'} categories apart`;
  if (share > POOR || (categories !== null && categories < CATEGORIES))
    return [floorFinding('gauge-poor', null, facts)];
  return share > GOOD ? [floorFinding('gauge-marginal', null, facts)] : [];
}
