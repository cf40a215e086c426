import { DomainError } from '../numeric/domain-error.ts';
import { controlConstants, rangeDivisor } from './control-constants.ts';
import { mean, spanOf } from './descriptive.ts';
import { fTail } from './distributions.ts';

/** Readings of a crossed study: readings[part][operator] is a list of equal length everywhere. */
export type CrossedReadings = readonly (readonly (readonly number[])[])[];

export interface VarianceRow {
  readonly source: 'part' | 'operator' | 'interaction' | 'repeatability' | 'total';
  readonly df: number;
  readonly ss: number;
  readonly ms: number | null;
  readonly f: number | null;
  readonly p: number | null;
}

/** Standard deviations of a gauge study, in the unit of the readings. */
export interface GaugeComponents {
  readonly repeatability: number;
  readonly operator: number;
  /** Null where the method cannot tell it from the rest. */
  readonly interaction: number | null;
  /** Operators and interaction together. */
  readonly reproducibility: number;
  readonly gauge: number;
  readonly part: number;
  readonly total: number;
}

export interface AnovaStudy extends GaugeComponents {
  /** The full table, interaction against repeatability, parts and operators against the interaction. */
  readonly anova: readonly VarianceRow[];
  /** The table that the components come from where the interaction went into the repeatability; else null. */
  readonly pooledAnova: readonly VarianceRow[] | null;
}

/** The interaction is pooled with the repeatability when its p is above this. */
const POOLING_P = 0.25;

/**
 * Gauge study by analysis of variance: parts × operators crossed, with repeats; standard deviations in the unit of the readings.
 *
 *   σ²(repeatability) = MSe; σ²(interaction) = (MSpo − MSe)/r; σ²(operator) = (MSo − MSpo)/(p·r);
 *   σ²(part) = (MSp − MSpo)/(o·r); none below zero. Interaction with p > POOLING_P: pooled, MSpo = MSe = (SSpo + SSe)/(their df).
 *
 * Valid for: two parts, two operators, two repeats or more, as many repeats everywhere.
 * Throws: DomainError otherwise.
 * Source: AIAG, Measurement Systems Analysis, 4th ed., ch. III; Montgomery & Runger, Qual. Eng. 6 (1993) 289.
 * Evidence: the AIAG example, 10 parts, 3 operators, 3 repeats.
 */
export function gaugeAnova(readings: CrossedReadings): AnovaStudy {
  const size = sizeOf(readings);
  const { parts, operators, repeats } = size;
  const all = readings.flat(2);
  const grand = mean(all);
  const partMeans = readings.map(byOperator => mean(byOperator.flat()));
  const operatorMeans = operatorMeansOf(readings);
  const square = (deviations: readonly number[]): number => deviations.reduce((s, d) => s + d * d, 0);
  const ss = {
    part: operators * repeats * square(partMeans.map(m => m - grand)),
    operator: parts * repeats * square(operatorMeans.map(m => m - grand)),
    interaction:
      repeats *
      square(
        readings.flatMap((row, i) => row.map((cell, j) => mean(cell) - partMeans[i]! - operatorMeans[j]! + grand)),
      ),
    repeatability: square(readings.flatMap(row => row.flatMap(cell => cell.map(v => v - mean(cell))))),
    total: square(all.map(v => v - grand)),
  };
  const df = {
    part: parts - 1,
    operator: operators - 1,
    interaction: (parts - 1) * (operators - 1),
    repeatability: parts * operators * (repeats - 1),
    total: all.length - 1,
  };
  const full = table(ss, df);
  const p = full.find(row => row.source === 'interaction')!.p;
  const pooled = p === null || p > POOLING_P;
  if (!pooled) return { ...components(size, full), anova: full, pooledAnova: null };
  const together = table(
    { ...ss, interaction: 0, repeatability: ss.interaction + ss.repeatability },
    { ...df, interaction: 0, repeatability: df.interaction + df.repeatability },
  );
  return { ...components(size, together), anova: full, pooledAnova: together };
}

/**
 * Gauge study by average and range, standard deviations in the unit of the readings.
 *
 *   EV = R̄·K1;  AV² = (X̄diff·K2)² − EV²/(p·r), not below zero;  PV = Rp·K3
 *
 * Valid for: as `gaugeAnova`. The interaction stays hidden in the operators. The divisors are d2 for the many cells and d2* for the
 * single range of operators and of parts; their reciprocals K1, K2, K3 are rounded to the four digits that the AIAG form
 * prints, so that a form filled by hand agrees.
 * Throws: DomainError as `gaugeAnova`.
 * Source: AIAG, Measurement Systems Analysis, 4th ed., ch. III.
 * Evidence: the AIAG example.
 */
export function gaugeAverageRange(readings: CrossedReadings): GaugeComponents {
  const { parts, operators, repeats } = sizeOf(readings);
  const k1 = fourDigits(1 / controlConstants(repeats).d2);
  const k2 = fourDigits(1 / rangeDivisor({ values: operators, subgroups: 1 }));
  const k3 = fourDigits(1 / rangeDivisor({ values: parts, subgroups: 1 }));
  const repeatability = mean(readings.flatMap(row => row.map(spanOf))) * k1;
  const operatorRange = spanOf(operatorMeansOf(readings)) * k2;
  const operator = Math.sqrt(Math.max(0, operatorRange ** 2 - repeatability ** 2 / (parts * repeats)));
  const part = spanOf(readings.map(row => mean(row.flat()))) * k3;
  const gauge = Math.hypot(repeatability, operator);
  return {
    repeatability,
    operator,
    interaction: null,
    reproducibility: operator,
    gauge,
    part,
    total: Math.hypot(gauge, part),
  };
}

function fourDigits(factor: number): number {
  return Math.round(factor * 1e4) / 1e4;
}

/** Number of distinct categories [-]: ⌊1.41·part/gauge⌋, at least 1; null for a gauge without any variation. AIAG MSA. */
export function distinctCategories(c: { part: number; gauge: number }): number | null {
  return c.gauge > 0 ? Math.max(1, Math.floor((1.41 * c.part) / c.gauge)) : null;
}

interface Size {
  readonly parts: number;
  readonly operators: number;
  readonly repeats: number;
}

function sizeOf(readings: CrossedReadings): Size {
  const parts = readings.length;
  const operators = readings[0]?.length ?? 0;
  const repeats = readings[0]?.[0]?.length ?? 0;
  for (const [name, n] of Object.entries({ parts, operators, repeats })) {
    if (n < 2) throw new DomainError(name, n, '-', 'two or more in number');
  }
  for (const row of readings) {
    if (row.length !== operators) throw new DomainError('operators', row.length, '-', `${operators} for every part`);
    for (const cell of row) {
      if (cell.length !== repeats) throw new DomainError('repeats', cell.length, '-', `${repeats} in every cell`);
    }
  }
  return { parts, operators, repeats };
}

function operatorMeansOf(readings: CrossedReadings): number[] {
  return readings[0]!.map((_, j) => mean(readings.flatMap(row => row[j]!)));
}

type Sums = Record<VarianceRow['source'], number>;

function table(ss: Sums, df: Sums): VarianceRow[] {
  const ms = (source: VarianceRow['source']): number => ss[source] / df[source];
  const against = (
    source: 'part' | 'operator' | 'interaction',
    error: 'interaction' | 'repeatability',
  ): VarianceRow => {
    const row = { source, df: df[source], ss: ss[source], ms: ms(source) };
    if (!(ss[error] > 0)) return { ...row, f: null, p: ss[source] > 0 ? 0 : null }; // F is infinite, or nothing over nothing
    const f = row.ms / ms(error);
    return { ...row, f, p: fTail(f, { numerator: df[source], denominator: df[error] }) };
  };
  const crossed = df.interaction > 0;
  const error = crossed ? 'interaction' : 'repeatability';
  return [
    against('part', error),
    against('operator', error),
    ...(crossed ? [against('interaction', 'repeatability')] : []),
    { source: 'repeatability', df: df.repeatability, ss: ss.repeatability, ms: ms('repeatability'), f: null, p: null },
    { source: 'total', df: df.total, ss: ss.total, ms: null, f: null, p: null },
  ];
}

function components(size: Size, rows: readonly VarianceRow[]): GaugeComponents {
  const { parts, operators, repeats } = size;
  const ms = (source: VarianceRow['source']): number | null => rows.find(r => r.source === source)?.ms ?? null;
  const error = ms('repeatability')!;
  const crossed = ms('interaction') ?? error;
  const variance = (above: number, below: number, readings: number): number => Math.max(0, (above - below) / readings);
  const interaction = variance(crossed, error, repeats);
  const operator = variance(ms('operator')!, crossed, parts * repeats);
  const part = variance(ms('part')!, crossed, operators * repeats);
  const reproducibility = operator + interaction;
  const gauge = error + reproducibility;
  return {
    repeatability: Math.sqrt(error),
    operator: Math.sqrt(operator),
    interaction: Math.sqrt(interaction),
    reproducibility: Math.sqrt(reproducibility),
    gauge: Math.sqrt(gauge),
    part: Math.sqrt(part),
    total: Math.sqrt(gauge + part),
  };
}
