import type { ConeGeometry } from '../flow/cone-flow.ts';

/** A place in a cone that resin passes from its rear to its front. */
export interface ConePlace {
  /** [m] */ readonly diameter: number;
  /** From the rear to here [m]. */ readonly passed: number;
  /** From here to the front [m]. */ readonly left: number;
  /** Area of the cone here times its length, for one unit of the share [m³]. */ readonly volume: number;
}

/**
 * Places of a cone by the share of ln(diameter) that is left, from 1 at the rear to 0 at the front.
 *
 *   d = front·(rear/front)^w, so that a steep cone is as smooth over w as a gentle one; lengths by expm1, so that nothing
 *   cancels in a cone that is all but a cylinder, nor next to its front
 *
 * Valid for: front other than rear. Source: derived here. Evidence: closed form of a cone's fill time; a cone of two
 * diameters that differ in the last digit.
 */
export function conePlaces({ front, rear, length }: ConeGeometry): (left: number) => ConePlace {
  const narrowing = Math.log1p((front - rear) / rear); // ln(front/rear)
  const whole = Math.expm1(narrowing);
  return w => {
    const diameter = front * Math.exp(-w * narrowing);
    return {
      diameter,
      passed: (length * Math.expm1((1 - w) * narrowing)) / whole,
      left: (length * Math.expm1(w * narrowing) * diameter) / (whole * rear),
      volume: ((Math.PI / 4) * diameter ** 3 * length * narrowing) / (whole * rear),
    };
  };
}
