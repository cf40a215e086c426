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

/** Bounds on what is kept; a long block is rarely that of another file as well. */
const LIMITS = { characters: 4_096, blocksPerKey: 256 };

/** Blocks of the texts read before, by their own text. */
export class TextBlocks {
  private readonly byKey = new Map<string, Map<string, TextBlock>>();

  /** The block that reads so, made when there is none. */
  block(key: string, text: string, make: () => TextBlock | null): TextBlock | null {
    let known = this.byKey.get(key);
    if (known === undefined) {
      known = new Map();
      this.byKey.set(key, known);
    }
    const before = known.get(text);
    if (before !== undefined) return before;
    const made = make();
    if (made === null || text.length > LIMITS.characters) return made;
    if (known.size >= LIMITS.blocksPerKey) known.clear();
    // A copy: as a part of the file's text it would keep all of that in memory.
    known.set(Buffer.from(text).toString(), made);
    return made;
  }
}
