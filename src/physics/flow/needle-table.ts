/** Wall classes of needle tubing: the class changes the bore, not the outside. */
export type NeedleWall = 'regular' | 'thin' | 'extra-thin';

/** Whether a figure was seen in the source named, or is from memory and wants checking against it. */
export type FigureStatus = 'published' | 'from memory';

/** A diameter with the limits of its tolerance [m]. */
export interface DiameterRange {
  readonly nominal: number;
  readonly min: number;
  readonly max: number;
}

export interface NeedleRow {
  /** `22`, `22s` */ readonly gauge: string;
  readonly wall: NeedleWall;
  /** Outside diameter [m]. */ readonly outside: DiameterRange;
  /** Inside diameter [m]; null where only a minimum or nothing is known: the recipe must give it. */
  readonly bore: DiameterRange | null;
  /** Smallest bore that ISO 9626 allows [m]; null where not known here. No nominal value follows from it. */
  readonly minimumBore: number | null;
  /** Of the bore, where there is one; else of the minimum bore; else of the outside. */
  readonly status: FigureStatus;
  readonly source: string;
}

const CHART = 'regular-wall gauge chart, en.wikipedia.org/wiki/Needle_gauge_comparison_chart';
const ISO_9626 = 'ISO 9626:2016 minimum inner diameter, as printed in doi 10.1208/s12249-021-01949-4, Table III';

/** Gauges whose bore (32) or whole row (33, 34) is from memory: the chart was not seen beyond the outside of 32 G. */
const FROM_MEMORY = new Set(['32', '33', '34']);

type ChartRow = readonly [string, number, number, number, number, number, number];

/**
 * Gauge; outside nominal, min, max; inside nominal, min, max [m]: the chart's inches in metres, to 0.1 µm. Other
 * transcriptions differ at 26 G (inside 0.241 mm) and 29 G (0.159 mm); this one satisfies outside − 2·wall = inside.
 */
const CHART_ROWS: readonly ChartRow[] = [
  ['7', 4.572e-3, 4.5466e-3, 4.5974e-3, 3.81e-3, 3.7338e-3, 3.8862e-3],
  ['8', 4.191e-3, 4.1656e-3, 4.2164e-3, 3.429e-3, 3.3528e-3, 3.5052e-3],
  ['9', 3.7592e-3, 3.7338e-3, 3.7846e-3, 2.9972e-3, 2.921e-3, 3.0734e-3],
  ['10', 3.4036e-3, 3.3782e-3, 3.429e-3, 2.6924e-3, 2.6162e-3, 2.7686e-3],
  ['11', 3.048e-3, 3.0226e-3, 3.0734e-3, 2.3876e-3, 2.3114e-3, 2.4638e-3],
  ['12', 2.7686e-3, 2.7432e-3, 2.794e-3, 2.159e-3, 2.0828e-3, 2.2352e-3],
  ['13', 2.413e-3, 2.3876e-3, 2.4384e-3, 1.8034e-3, 1.7272e-3, 1.8796e-3],
  ['14', 2.1082e-3, 2.0828e-3, 2.1336e-3, 1.6002e-3, 1.524e-3, 1.6764e-3],
  ['15', 1.8288e-3, 1.8161e-3, 1.8415e-3, 1.3716e-3, 1.3335e-3, 1.4097e-3],
  ['16', 1.651e-3, 1.6383e-3, 1.6637e-3, 1.1938e-3, 1.1557e-3, 1.2319e-3],
  ['17', 1.4732e-3, 1.4605e-3, 1.4859e-3, 1.0668e-3, 1.0287e-3, 1.1049e-3],
  ['18', 1.27e-3, 1.2573e-3, 1.2827e-3, 0.8382e-3, 0.8001e-3, 0.8763e-3],
  ['19', 1.0668e-3, 1.0541e-3, 1.0795e-3, 0.6858e-3, 0.6477e-3, 0.7239e-3],
  ['20', 0.908e-3, 0.9017e-3, 0.9144e-3, 0.6032e-3, 0.5842e-3, 0.6223e-3],
  ['21', 0.8191e-3, 0.8128e-3, 0.8255e-3, 0.5143e-3, 0.4953e-3, 0.5334e-3],
  ['22', 0.7176e-3, 0.7112e-3, 0.7239e-3, 0.4128e-3, 0.3937e-3, 0.4318e-3],
  ['22s', 0.7176e-3, 0.7112e-3, 0.7239e-3, 0.1524e-3, 0.1333e-3, 0.1714e-3],
  ['23', 0.6413e-3, 0.635e-3, 0.6477e-3, 0.3365e-3, 0.3175e-3, 0.3556e-3],
  ['24', 0.5651e-3, 0.5588e-3, 0.5715e-3, 0.3111e-3, 0.2921e-3, 0.3302e-3],
  ['25', 0.5143e-3, 0.508e-3, 0.5207e-3, 0.2603e-3, 0.2413e-3, 0.2794e-3],
  ['26', 0.4635e-3, 0.4572e-3, 0.4699e-3, 0.2603e-3, 0.2413e-3, 0.2794e-3],
  ['26s', 0.4737e-3, 0.4674e-3, 0.4801e-3, 0.127e-3, 0.108e-3, 0.146e-3],
  ['27', 0.4128e-3, 0.4064e-3, 0.4191e-3, 0.2095e-3, 0.1905e-3, 0.2286e-3],
  ['28', 0.3619e-3, 0.3556e-3, 0.3683e-3, 0.1842e-3, 0.1651e-3, 0.2032e-3],
  ['29', 0.3365e-3, 0.3302e-3, 0.3429e-3, 0.1842e-3, 0.1651e-3, 0.2032e-3],
  ['30', 0.3111e-3, 0.3048e-3, 0.3175e-3, 0.1588e-3, 0.1397e-3, 0.1778e-3],
  ['31', 0.2603e-3, 0.254e-3, 0.2667e-3, 0.1333e-3, 0.1143e-3, 0.1524e-3],
  ['32', 0.2349e-3, 0.2286e-3, 0.2413e-3, 0.108e-3, 0.0889e-3, 0.127e-3],
  ['33', 0.2095e-3, 0.2032e-3, 0.2159e-3, 0.108e-3, 0.0889e-3, 0.127e-3],
  ['34', 0.1842e-3, 0.1778e-3, 0.1905e-3, 0.0825e-3, 0.0635e-3, 0.1016e-3],
];

/** ISO 9626 minimum bores that were seen [m]; the standard's other rows were not. */
const MINIMUM_BORES: readonly (readonly [string, NeedleWall, number])[] = [
  ['30', 'regular', 0.133e-3],
  ['30', 'thin', 0.165e-3],
  ['30', 'extra-thin', 0.19e-3],
  ['32', 'regular', 0.089e-3],
  ['32', 'thin', 0.105e-3],
  ['32', 'extra-thin', 0.125e-3],
];

function minimumBore(gauge: string, wall: NeedleWall): number | null {
  return MINIMUM_BORES.find(([g, w]) => g === gauge && w === wall)?.[2] ?? null;
}

const regularRows: readonly NeedleRow[] = CHART_ROWS.map(row => {
  const [gauge, outside, outsideMin, outsideMax, bore, boreMin, boreMax] = row;
  return {
    gauge,
    wall: 'regular',
    outside: { nominal: outside, min: outsideMin, max: outsideMax },
    bore: { nominal: bore, min: boreMin, max: boreMax },
    minimumBore: minimumBore(gauge, 'regular'),
    status: FROM_MEMORY.has(gauge) ? 'from memory' : 'published',
    source: CHART,
  };
});

/** A wall class other than regular: the chart's outside, no bore. */
function withoutBore(regular: NeedleRow, wall: NeedleWall): NeedleRow {
  const minimum = minimumBore(regular.gauge, wall);
  const known = minimum === null ? {} : ({ status: 'published', source: ISO_9626 } as const);
  return { ...regular, wall, bore: null, minimumBore: minimum, ...known };
}

/**
 * Needle tubing by gauge and wall class, diameters in m: regular walls from 7 to 34 G, then the thin and extra-thin
 * walls of which at least a minimum bore is known. Nominal values and tolerances of new, straight steel tubing; since
 * flow goes with the fourth power of the bore, the tolerance alone is ±20 % of flow at 18 G and ±60 % at 30 G.
 *
 * Source: each row says; facts from a public chart, ISO 9626:2016 for the minimum bores.
 * Evidence: outside − bore is twice a wall that is a whole number of 0.0005 in; diameters fall with the gauge; the
 * outside lies inside the limits that ISO 9626 gives (from memory).
 */
export const needleTable: readonly NeedleRow[] = [
  ...regularRows,
  ...MINIMUM_BORES.filter(([, wall]) => wall !== 'regular').map(([gauge, wall]) =>
    withoutBore(regularRows.find(row => row.gauge === gauge)!, wall),
  ),
];

/**
 * The row of a gauge and wall class. For a wall class of which nothing is known, a row with the gauge's outside and a
 * null bore; null when the chart has no such gauge.
 */
export function findNeedle(gauge: string, wall: NeedleWall = 'regular'): NeedleRow | null {
  const row = needleTable.find(r => r.gauge === gauge && r.wall === wall);
  if (row) return row;
  const regular = regularRows.find(r => r.gauge === gauge);
  return regular ? withoutBore(regular, wall) : null;
}
