import type { Path } from '../yaml/path.ts';
import type { Source } from '../yaml/source-file.ts';

/**
 * Where a value of the merged data came from. Children are only listed where they differ from "the same source, one step
 * further": so a recipe without `from` and overrides is a single node, whatever its size.
 */
export interface Origin {
  readonly source: Source;
  readonly path: Path;
  readonly children?: ReadonlyMap<string | number, Origin>;
}

/** The origin one step further. */
export function childOrigin(origin: Origin, step: string | number): Origin {
  return origin.children?.get(step) ?? { source: origin.source, path: [...origin.path, step] };
}

/** The origin of the value at a path of the merged data. */
export function originAt(origin: Origin, path: Path): Origin {
  let at = origin;
  for (let i = 0; i < path.length; i++) {
    if (at.children === undefined) return { source: at.source, path: [...at.path, ...path.slice(i)] };
    at = childOrigin(at, path[i]!);
  }
  return at;
}
