import {
  type DiameterRange,
  type FigureStatus,
  type NeedleRow,
  type NeedleWall,
  needleTable,
} from '../../physics/flow/needle-table.ts';

export interface NeedleListEntry {
  readonly gauge: string;
  readonly wall: NeedleWall;
  readonly outside_mm: number;
  readonly outside_min_mm: number;
  readonly outside_max_mm: number;
  /** Null where the recipe must give the bore. */
  readonly bore_mm: number | null;
  readonly bore_min_mm: number | null;
  readonly bore_max_mm: number | null;
  /** Smallest bore that the standard for needle tubing allows. */
  readonly minimum_bore_mm: number | null;
  readonly status: FigureStatus;
  readonly source: string;
}

export interface NeedleListResult {
  readonly needles: readonly NeedleListEntry[];
}

/** The built-in needle table, of all gauges or of those named; a gauge that it does not have gives no entry. */
export function needleList(gauges: readonly string[] = []): NeedleListResult {
  const rows = needleTable.filter(row => gauges.length === 0 || gauges.includes(row.gauge));
  return { needles: rows.map(entryOf) };
}

function entryOf(row: NeedleRow): NeedleListEntry {
  const bore = millimetres(row.bore);
  return {
    gauge: row.gauge,
    wall: row.wall,
    outside_mm: row.outside.nominal * 1e3,
    outside_min_mm: row.outside.min * 1e3,
    outside_max_mm: row.outside.max * 1e3,
    bore_mm: bore?.nominal ?? null,
    bore_min_mm: bore?.min ?? null,
    bore_max_mm: bore?.max ?? null,
    minimum_bore_mm: row.minimumBore === null ? null : row.minimumBore * 1e3,
    status: row.status,
    source: row.source,
  };
}

function millimetres(range: DiameterRange | null): DiameterRange | null {
  return range === null ? null : { nominal: range.nominal * 1e3, min: range.min * 1e3, max: range.max * 1e3 };
}
