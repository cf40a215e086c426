import type { Plain } from './plain-data.ts';

/**
 * A key at the top level of a file with all that stands under it: what the text says, and what was made of it. Two files
 * in which a block reads the same share one of these, so that nothing of it is done twice.
 */
export class TextBlock {
  /** As loading keeps it; never changed once it is there. */
  made: unknown = undefined;

  constructor(
    readonly key: string,
    readonly value: Plain,
    /** Neither null nor `from` stands in it: its data are final. */
    readonly settled: boolean,
  ) {}

  private readonly extents = new Map<string, [number, number]>();

  /** Offsets in its own text of what is asked for, found by `find` the first time. */
  extentOf(asked: string, find: () => [number, number]): [number, number] {
    const before = this.extents.get(asked);
    if (before !== undefined) return before;
    const found = find();
    this.extents.set(asked, found);
    return found;
  }
}

/** Bounds on what is kept; a long block is rarely that of another file as well, and a recipe has few keys. */
const LIMITS = { characters: 4_096, blocksPerKey: 256, keys: 32 };

/** Blocks of the texts read before, by their own text. */
export class TextBlocks {
  private readonly byKey = new Map<string, Map<string, TextBlock>>();

  /** The block that reads so, made when there is none. */
  block(key: string, text: string, make: () => TextBlock | null): TextBlock | null {
    const before = this.byKey.get(key)?.get(text);
    if (before !== undefined) return before;
    const made = make();
    if (made !== null && text.length <= LIMITS.characters) this.keep(key, text, made);
    return made;
  }

  private keep(key: string, text: string, made: TextBlock): void {
    let known = this.byKey.get(key);
    if (known === undefined) {
      if (this.byKey.size >= LIMITS.keys) return;
      known = new Map();
      this.byKey.set(copied(key), known);
    }
    if (known.size >= LIMITS.blocksPerKey) known.clear();
    known.set(copied(text), made);
  }
}

/** A part of a longer text keeps all of that in memory. */
function copied(part: string): string {
  return Buffer.from(part).toString();
}
