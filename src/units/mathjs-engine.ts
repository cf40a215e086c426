import { create, parseDependencies, unitDependencies } from 'mathjs';
import type { Dimension } from './dimension.ts';
import type { Engine, TreeNode } from './engine.ts';

/** Units whose zero is not nothing, or whose size depends on who says it. */
const SHIFTED = /^(deg(C|F|R|K)|celsius|fahrenheit|rankine|kelvin)s?$/i;

/** The engine on mathjs: two of its functions, and no evaluation. */
export function mathjsEngine(): Engine {
  const math = create({ unitDependencies: unitDependencies!, parseDependencies: parseDependencies! }, {});
  return {
    parse: text => math.parse!(text) as unknown as TreeNode,
    unit(name) {
      if (SHIFTED.test(name)) return null;
      try {
        const found = math.unit!(1, name) as unknown as { value: number; dimensions: Dimension };
        return Number.isFinite(found.value) ? { factor: found.value, dimension: [...found.dimensions] } : null;
      } catch {
        return null; // mathjs throws for a name that it does not know
      }
    },
  };
}
