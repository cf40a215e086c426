import { integrate } from '../../numeric/quadrature.ts';
import { newtonianConePressureDrop } from '../flow/cone-flow.ts';
import type { Passage } from '../flow/flow-path.ts';
import { rectangleResistance } from '../flow/rectangle-flow.ts';
import { areaFold } from './cavity.ts';
import { type ConePlace, conePlaces } from './cone-places.ts';

export interface NewtonianMarch {
  /** ∫ A dx/ΔP(x) [m³/Pa]: what one unit of needle resistance costs in time. */ readonly volumeOverPressure: number;
  /** ∫ A·R(x) dx/ΔP(x) [s]: what the filled cavity itself costs. */ readonly ownTime: number;
  /** Resistance of the whole cavity [Pa·s/m³]. */ readonly resistance: number;
}

/**
 * March of a Newtonian front through a cavity: the time is `needle resistance · volumeOverPressure + ownTime`.
 *
 *   cylinder: A·L/ΔP and (A/ΔP)(R·L + ½·r·L²), r = 128μ/(π·d⁴), R what lies behind
 *   cone: by quadrature (see cone-places), since ΔP may move with the capillary pressure
 *   n passages side by side: A times n, r over n; a rectangle has its own r (see rectangle-flow)
 *
 * Shape: the cavity from the end face backwards, marched from its far end; `pressureAt` the driving pressure [Pa] at a
 * front diameter [m], above zero.
 * Source: Hagen–Poiseuille, integrated. Evidence: closed form of a cone, fixed-step march.
 */
export function newtonianMarch(p: {
  cavity: readonly Passage[];
  viscosity: number;
  pressureAt: (diameter: number) => number;
}): NewtonianMarch {
  let volumeOverPressure = 0;
  let ownTime = 0;
  let resistance = 0;
  for (const cone of [...p.cavity].reverse()) {
    const { front, rear, length, count = 1 } = cone;
    const behind = resistance;
    const own = ownResistance(cone, p.viscosity) / count;
    if (front === rear) {
      const volume = areaFold(cone) * ((Math.PI / 4) * rear ** 2 * length);
      const pressure = p.pressureAt(capillaryDiameter(cone));
      volumeOverPressure += volume / pressure;
      ownTime += (volume * (behind + own / 2)) / pressure;
    } else {
      const placeAt = conePlaces(cone);
      const summed = (weight: (place: ConePlace) => number) =>
        integrate(
          w => {
            const place = placeAt(w);
            return count * ((place.volume / p.pressureAt(place.diameter)) * weight(place));
          },
          0,
          1,
          { relative: 1e-12 },
        );
      const passed = ({ diameter, passed }: ConePlace) =>
        newtonianConePressureDrop({ front: diameter, rear, length: passed, viscosity: p.viscosity, flow: 1 }) / count;
      volumeOverPressure += summed(() => 1);
      ownTime += summed(place => behind + passed(place));
    }
    resistance += own;
  }
  return { volumeOverPressure, ownTime, resistance };
}

/** Of one passage [Pa·s/m³]. */
function ownResistance(passage: Passage, viscosity: number): number {
  const { sides, length } = passage;
  if (sides !== undefined) return viscosity * rectangleResistance({ ...sides, length });
  return newtonianConePressureDrop({ ...passage, viscosity, flow: 1 });
}

/** Diameter [m] of the tube whose meniscus pulls as that of the passage: 2·a·b/(a + b) for a rectangle. */
export function capillaryDiameter({ front, sides }: Passage): number {
  if (sides === undefined) return front;
  return (2 * sides.width * sides.height) / (sides.width + sides.height);
}
