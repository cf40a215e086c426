import { type CavityBook, cavityBook } from '../analysis/cavity/cavity-book.ts';
import { type NeedleRoom, needleRoom } from '../analysis/cavity/needle-room.ts';
import { type HoldBackResult, holdBack } from '../analysis/delivery/hold-back.ts';
import { type ResolvedNeedle, resolveNeedle } from '../analysis/delivery/needle.ts';
import {
  type Delivered,
  type Delivery,
  needleVolume,
  type OperatingPoint,
  prepareDelivery,
  type Setting,
} from '../analysis/delivery/operating-point.ts';
import { type ResinDot, resinDot } from '../analysis/dot/dot.ts';
import type { Outcome } from '../diagnostics/finding.ts';
import type { Connector, Needle, Recipe } from '../recipe/schema/recipe.ts';
import { type SettingsRun, settingsRun } from './settings-run.ts';

/** What does not apply because the recipe lacks a block for it. */
const NOTHING = { result: null, findings: [] } as const;

/**
 * A recipe with what the analyses make of it, each worked out when a rule first asks and then kept. Null, or an outcome
 * without findings, where the recipe has no blocks for it.
 */
export class RuleContext {
  private readonly kept = new Map<string, unknown>();

  constructor(readonly recipe: Recipe) {}

  private once<T>(key: string, make: () => T): T {
    if (!this.kept.has(key)) this.kept.set(key, make());
    return this.kept.get(key) as T;
  }

  /** Volumes, seat and bead of the connector. */
  get book(): Outcome<CavityBook> {
    return this.once('book', () => (this.recipe.connector?.cavity?.length ? sharedBook(this.recipe) : NOTHING));
  }

  /** The seated needle in its cavity. */
  get needleRoom(): NeedleRoom | null {
    const book = this.book.result;
    return this.once('needleRoom', () => (book === null ? null : needleRoom(this.recipe.needle, book)));
  }

  get needle(): Outcome<ResolvedNeedle> {
    return this.once('needle', () => (this.recipe.needle === undefined ? NOTHING : resolveNeedle(this.recipe)));
  }

  /** Resin, needle and air put together. */
  get delivery(): Outcome<Delivery> {
    const { needle, resin } = this.recipe;
    return this.once('delivery', () =>
      needle === undefined || resin?.rheology === undefined ? NOTHING : prepareDelivery(this.recipe),
    );
  }

  /** A full syringe at `process.ready_after`, where `shot` starts from as well. */
  get start(): Outcome<OperatingPoint> {
    return this.once('start', () => this.delivery.result?.at({}) ?? NOTHING);
  }

  /** The released pressure and dwell. */
  get setting(): Setting | null {
    const { pressure, dwell } = this.recipe.settings ?? {};
    return pressure === undefined || dwell === undefined ? null : { pressure: pressure.value, dwell: dwell.value };
  }

  /** What the released setting delivers at the start. */
  get startShot(): Delivered | null {
    return this.once('startShot', () =>
      this.setting === null ? null : (this.start.result?.deliver(this.setting) ?? null),
    );
  }

  /** Backfill aim and window of the connector [m³], all above zero. */
  get window(): { readonly min: number; readonly aim: number; readonly max: number } | null {
    const { min, aim, max } = this.book.result?.backfill ?? { min: null, aim: null, max: null };
    if (min === null || aim === null || max === null) return null;
    return min > 0 && aim > 0 && max > 0 ? { min, aim, max } : null;
  }

  /** Inside volume of the needle [m³]. */
  get needleVolume(): number | null {
    const needle = this.needle.result;
    return needle === null ? null : needleVolume(needle);
  }

  /** The run of one syringe with the released settings. */
  get run(): SettingsRun | null {
    return this.once('run', () => settingsRun(this));
  }

  get dot(): Outcome<ResinDot> {
    return this.once('dot', () => (this.recipe.resin?.dot === undefined ? NOTHING : resinDot(this.recipe)));
  }

  get holdBack(): Outcome<HoldBackResult> {
    return this.once('holdBack', () => {
      const { needle, station } = this.recipe;
      if (needle === undefined || station?.syringe === undefined) return NOTHING;
      return holdBack(this.recipe, { contactAngle: this.dot.result?.contactAngle ?? null });
    });
  }
}

/** Recipes of a family share blocks, and a block of a recipe never changes. */
const BOOKS = new WeakMap<Connector, { readonly needle: Needle | undefined; readonly book: Outcome<CavityBook> }>();

/** The book is that of connector and needle alone. */
function sharedBook(recipe: Recipe): Outcome<CavityBook> {
  const { connector, needle } = recipe;
  if (connector === undefined) return NOTHING;
  const before = BOOKS.get(connector);
  if (before !== undefined && before.needle === needle) return before.book;
  const book = cavityBook(recipe);
  BOOKS.set(connector, { needle, book });
  return book;
}
