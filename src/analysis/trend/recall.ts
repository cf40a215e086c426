/** A line of a check log, as far as it tells where a lot went. */
export interface LoggedSyringe {
  readonly file: string;
  readonly line: number;
  /** ISO 8601, or what stands there. */
  readonly time: string;
  readonly recipe: string;
  readonly digest: string;
  readonly syringe: string;
  readonly lot: string;
  readonly operator: string;
  readonly decision: string;
}

/** Why a line is listed. */
export type RecallMatch =
  /** Its lot, or syringe, is the one asked for. */
  | 'named'
  /** The same syringe, in a line that names another lot or none. */
  | 'same syringe'
  /** Written otherwise, as a hand might: other capitals, marks, zeros. */
  | 'alike'
  /** Nothing is written where the name would stand: it may be this one. */
  | 'not written';

export interface RecalledCheck extends LoggedSyringe {
  readonly match: RecallMatch;
}

export interface RecalledSyringe {
  readonly syringe: string;
  readonly recipe: string;
  readonly first: string;
  readonly last: string;
  readonly decisions: readonly string[];
  /** Whether a check let it be used: connectors were filled from it. */
  readonly used: boolean;
}

export interface RecallResult {
  readonly lot: string | null;
  readonly syringe: string | null;
  /** Lines that were looked through. */
  readonly lines: number;
  /** Whether every line could be read. */
  readonly complete: boolean;
  /** Syringes to act on, by recipe and time of their first check. */
  readonly syringes: readonly RecalledSyringe[];
  /** The recipes, and with them the connectors, that were made with them. */
  readonly recipes: readonly { recipe: string; syringes: number; first: string; last: string }[];
  /** Lines behind them, and lines to look at by hand, by time. */
  readonly checks: readonly RecalledCheck[];
}

export interface RecallInput {
  readonly lot: string | null;
  readonly syringe: string | null;
  readonly lines: readonly LoggedSyringe[];
  readonly complete: boolean;
}

/**
 * Where a lot of resin, or a syringe, went: its syringes, the recipes they served, and when.
 *
 * Errs on the side of too many: a line of a named syringe counts whatever lot it names, and lines whose name is written
 * otherwise or not at all are listed beside, to be looked at by hand.
 * Shape: lines in any order; the result is in order of time, lines without a readable time last.
 */
export function recall(input: RecallInput): RecallResult {
  const { lot, syringe, lines } = input;
  const wanted = lot ?? syringe ?? '';
  const nameOf = (line: LoggedSyringe) => (lot !== null ? line.lot : line.syringe);
  const named = lines.filter(line => nameOf(line) === wanted);
  const theirs = new Set(named.filter(line => line.syringe !== '').map(syringeOf));
  const matchOf = (line: LoggedSyringe): RecallMatch | null => {
    const name = nameOf(line);
    if (name === wanted) return 'named';
    if (theirs.has(syringeOf(line))) return 'same syringe';
    if (name === '') return 'not written';
    return byHand(name) === byHand(wanted) ? 'alike' : null;
  };
  const checks = lines
    .flatMap(line => {
      const match = matchOf(line);
      return match === null ? [] : [{ ...line, match }];
    })
    .sort(byTime);
  const sure = checks.filter(({ match }) => match === 'named' || match === 'same syringe');
  const syringes = [...grouped(sure, syringeOf).values()].map(recalled);
  const recipes = [...grouped(syringes, ({ recipe }) => recipe)].map(([recipe, own]) => ({
    recipe,
    syringes: own.length,
    first: own.map(({ first }) => first).sort(inTime)[0]!,
    last: own
      .map(({ last }) => last)
      .sort(inTime)
      .at(-1)!,
  }));
  return { lot, syringe, lines: lines.length, complete: input.complete, syringes, recipes, checks };
}

function recalled(lines: readonly LoggedSyringe[]): RecalledSyringe {
  const [first] = lines;
  const decisions = lines.map(({ decision }) => decision);
  return {
    syringe: first!.syringe,
    recipe: first!.recipe,
    first: first!.time,
    last: lines.at(-1)!.time,
    decisions,
    // What is no rejection, or cannot be read as one, may have been used.
    used: decisions.some(decision => decision !== 'reject'),
  };
}

/** A syringe has its name within a recipe; one without a name stands for itself. */
function syringeOf({ recipe, syringe, file, line }: LoggedSyringe): string {
  return JSON.stringify(syringe === '' ? [file, line] : [recipe, syringe]);
}

/** A name without what hands write now so, now so: capitals, O for 0, zeros before a number, marks, and I or l for 1. */
function byHand(name: string): string {
  return name
    .toUpperCase()
    .replace(/O/g, '0')
    .replace(/(?<!\p{N})0+(?=\p{N})/gu, '')
    .replace(/[^\p{L}\p{N}]/gu, '')
    .replace(/[IL]/g, '1');
}

function grouped<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const group = groups.get(keyOf(item));
    if (group === undefined) groups.set(keyOf(item), [item]);
    else group.push(item);
  }
  return groups;
}

function byTime(a: LoggedSyringe, b: LoggedSyringe): number {
  return inTime(a.time, b.time) || (a.file < b.file ? -1 : a.file > b.file ? 1 : a.line - b.line);
}

function inTime(a: string, b: string): number {
  const [early, late] = [Date.parse(a), Date.parse(b)];
  if (Number.isNaN(early) || Number.isNaN(late)) return Number(Number.isNaN(early)) - Number(Number.isNaN(late));
  return early - late;
}
