import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { type AirModel, airVolume } from '../../physics/air/air.ts';
import { airProblems } from '../../physics/air/air-problems.ts';
import type { AirBlock, Station } from '../../recipe/schema/recipe.ts';
import { modelFindings } from './model-findings.ts';

/** The air model of a recipe as numbers in SI. */
export function airModel(block: AirBlock): AirModel {
  switch (block.model) {
    case 'ideal':
      return { model: 'ideal' };
    case 'first-order':
      return { model: 'first-order', rise: block.rise.value, fall: block.fall.value, delay: block.delay.value };
    case 'iso6358':
      return {
        model: 'iso6358',
        conductance: block.conductance.value,
        criticalRatio: block.critical_ratio.value,
        exhaustConductance: block.exhaust_conductance.value,
        exhaustCriticalRatio: block.exhaust_critical_ratio.value,
        ventTo: block.vent_to.value,
        exponent: block.exponent.value,
      };
  }
}

/**
 * Air volume of hose and ullage [m³] after some resin has left [m³]; null where the recipe does not tell it, which only
 * the model `iso6358` minds.
 */
export function stationAirVolume({ station, dispensed }: { station: Station; dispensed: number }): number | null {
  const { syringe, air } = station;
  if (syringe?.barrel === undefined || syringe.fill.value > syringe.barrel.value) return null;
  const hose = air.model === 'iso6358' ? air.hose : undefined;
  return airVolume({
    ...{ barrel: syringe.barrel.value, fill: syringe.fill.value, dispensed },
    ...(hose === undefined ? {} : { hose: { insideDiameter: hose.inside_diameter.value, length: hose.length.value } }),
  });
}

/** What keeps the air model of a station from being used, at the keys. */
export function airModelFindings(station: Station): Finding[] {
  const findings = modelFindings('air', station.air, airProblems(airModel(station.air), station.atmosphere.value));
  const { syringe } = station;
  if (station.air.model === 'iso6358' && syringe?.barrel === undefined) {
    const message = 'the iso6358 air model needs the volume of the syringe, which the recipe does not give';
    const path = syringe === undefined ? 'station.syringe' : 'station.syringe.barrel';
    findings.push(deliveryFinding('air-volume-unknown', path, message));
  }
  if (syringe?.barrel !== undefined && syringe.fill.value > syringe.barrel.value) {
    const [fill, barrel] = [syringe.fill, syringe.barrel].map(({ value }) => inWords(value, 'mL', 6));
    const message = `the syringe holds ${fill} in a barrel of ${barrel}`;
    findings.push(deliveryFinding('syringe-overfull', 'station.syringe.fill', message));
  }
  return findings;
}
