import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { cavityFinding } from '../../diagnostics/codes/cavity-codes.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { type DiameterRange, findNeedle, type NeedleRow } from '../../physics/flow/needle-table.ts';
import type { Needle, NeedleEnds, Quantity, Recipe, Section, WallClass } from '../../recipe/schema/recipe.ts';

/** The needle as numbers, from the recipe or the gauge table. */
export interface ResolvedNeedle {
  /** From the barrel to the tip: `front` is the upstream end. One section for a plain needle. */
  readonly sections: readonly Section[];
  /** Null for a tapered tip whose outside is not given. */
  readonly outside: Quantity | null;
  /** Inside diameter at the tip. */
  readonly bore: Quantity;
  /** Of all sections [m]. */
  readonly length: number;
  readonly ends: NeedleEnds;
  /** Radii that each entrance adds; null: as `ends` has it. */
  readonly entranceLengths: Quantity | null;
  readonly gauge: string | null;
  readonly wall: WallClass;
  /** How sure the table's bore is; null when the recipe gives the bore. */
  readonly tableStatus: string | null;
  readonly tableSource: string | null;
}

/**
 * Sections, bore and outside of the recipe's needle. Values of the table carry its tolerance under the path of the key
 * that would replace them (`needle.bore`), so that an uncertainty can name it.
 */
export function resolveNeedle(recipe: Recipe): Outcome<ResolvedNeedle> {
  const needle = recipe.needle;
  if (needle === undefined) return { result: null, findings: [blockMissing('needle', 'a flow through the needle')] };
  let resolved = RESOLVED.get(needle);
  if (resolved === undefined) {
    resolved = resolve(needle);
    RESOLVED.set(needle, resolved);
  }
  return resolved;
}

/** Delivery, hold-back and rules ask for the same needle; a block of a recipe never changes. */
const RESOLVED = new WeakMap<Needle, Outcome<ResolvedNeedle>>();

function resolve(needle: Needle): Outcome<ResolvedNeedle> {
  const findings: Finding[] = [];
  const table = tableRow(needle, findings);
  const outside = outsideOf(needle, table);
  const sections = needle.sections?.length ? needle.sections : plainNeedle(needle, table, findings);
  const bore = sections?.at(-1)?.rear;
  if (sections === null || bore === undefined || findings.some(f => f.severity === 'error')) {
    return { result: null, findings };
  }
  if (outside !== null) findings.push(...wallFindings(outside, bore));
  const fromTable = needle.sections === undefined && needle.bore === undefined ? table : null;
  return {
    result: {
      sections,
      outside,
      bore,
      length: sections.reduce((sum, s) => sum + s.length.value, 0),
      ends: needle.ends,
      entranceLengths: needle.entrance_lengths ?? null,
      gauge: needle.gauge ?? null,
      wall: needle.wall,
      tableStatus: fromTable?.status ?? null,
      tableSource: fromTable?.source ?? null,
    },
    findings,
  };
}

/**
 * The needle's outside diameter alone, for the seat: it does not need the bore to be known. The outside of a tapered tip
 * is not guessed from its inside: without `outside` or `gauge` the seat stays open, and a warning says so.
 */
export function resolveOutside(needle: Needle): Outcome<Quantity> {
  const findings: Finding[] = [];
  const outside = outsideOf(needle, tableRow(needle, findings));
  if (outside !== null) {
    const inside = needle.sections?.at(-1)?.rear ?? needle.bore ?? null;
    return { result: outside, findings: inside === null ? [] : wallFindings(outside, inside) };
  }
  if (findings.length > 0) return { result: null, findings };
  const message = 'the needle’s outside diameter is not given, so where it seats is not known';
  return { result: null, findings: [deliveryFinding('needle-outside-unknown', 'needle.outside', message)] };
}

/** The row of the gauge table, or null; an unknown gauge is a finding where the recipe leaves something to the table. */
function tableRow(needle: Needle, findings: Finding[]): NeedleRow | null {
  if (needle.gauge === undefined) return null;
  const row = findNeedle(needle.gauge, needle.wall); // of a wall class that is not known: the outside alone
  const complete = needle.outside !== undefined && (needle.bore !== undefined || needle.sections !== undefined);
  if (row === null && !complete) {
    const message = `gauge "${needle.gauge}" is not in the needle table`;
    findings.push(deliveryFinding('needle-gauge-unknown', 'needle.gauge', message));
  }
  return row;
}

function outsideOf(needle: Needle, table: NeedleRow | null): Quantity | null {
  if (needle.outside !== undefined) return needle.outside;
  return table === null ? null : fromTable(table.outside, 'needle.outside', `${table.gauge}:outside`);
}

/** One straight section; null, with findings, when the bore or the length is not known. */
function plainNeedle(needle: Needle, table: NeedleRow | null, findings: Finding[]): Section[] | null {
  const bore = needle.bore ?? tableBore(needle, table, findings);
  if (needle.length === undefined) findings.push(blockMissing('needle.length', 'a flow through the needle'));
  if (bore === null || needle.length === undefined) return null;
  return [{ part: 'needle', front: bore, rear: bore, length: needle.length, path: 'needle' }];
}

function tableBore(needle: Needle, table: NeedleRow | null, findings: Finding[]): Quantity | null {
  if (needle.gauge === undefined) {
    findings.push(blockMissing('needle.bore', 'a flow through the needle', 'give `gauge`, or `bore` and `length`'));
    return null;
  }
  if (table === null) return null; // the gauge itself is the finding
  if (table.bore === null) {
    const message = `the inside diameter of a ${needle.gauge} G needle with a ${needle.wall} wall is not in the needle table`;
    findings.push(deliveryFinding('needle-bore-unknown', 'needle.wall', message));
    return null;
  }
  return fromTable(table.bore, 'needle.bore', `${table.gauge}:${table.wall}:bore`);
}

/** Limits of the table are read as a uniform tolerance of one needle; unequal ones as the wider of the two sides. */
function fromTable(row: DiameterRange, path: string, source: string): Quantity {
  const halfWidth = Math.max(row.max - row.nominal, row.nominal - row.min);
  const quantity = { value: row.nominal, path, source: `needle-table:${source}` };
  if (!(halfWidth > 0)) return quantity;
  return { ...quantity, tolerance: { halfWidth, distribution: 'uniform', coverage: 1, per: 'needle' } };
}

function wallFindings(outside: Quantity, bore: Quantity): Finding[] {
  if (outside.value > bore.value) return [];
  const message = `the needle is ${inWords(outside.value, 'mm')} outside but ${inWords(bore.value, 'mm')} inside`;
  return [cavityFinding('needle-thinner-than-bore', outside.path, message, 'check `needle.outside` and `needle.bore`')];
}
