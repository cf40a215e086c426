import type { Dimension } from './dimension.ts';

/** A node of a parse tree, as far as the evaluator looks at it. */
export interface TreeNode {
  readonly type: string;
  readonly name?: string;
  readonly value?: unknown;
  readonly op?: string;
  readonly fn?: string | TreeNode;
  readonly args?: readonly TreeNode[];
  readonly content?: TreeNode;
}

/** What the mathematics library does for us: it parses, and it knows units that our table lacks. Nothing is evaluated by it. */
export interface Engine {
  /** Throws on what is no expression. */
  parse(text: string): TreeNode;
  /** SI factor and dimension of a single unit name, or null when it is none (or one with a shifted zero). */
  unit(name: string): { readonly factor: number; readonly dimension: Dimension } | null;
}

let engine: Engine | null = null;

/** The engine, or null as long as nobody has waited for `loadEngine`. */
export function loadedEngine(): Engine | null {
  return engine;
}

/** Loads the engine once. It is a tenth of a second of start-up that plain quantities never pay. */
export async function loadEngine(): Promise<Engine> {
  engine ??= (await import('./mathjs-engine.ts')).mathjsEngine();
  return engine;
}
