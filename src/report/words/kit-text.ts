import type { CardResult } from '../../analysis/card/card.ts';
import { numberText, weighedText } from './number-text.ts';

/** What is weighed for a kit, on one line. */
export function kitText(kit: NonNullable<CardResult['mix']>): string {
  const { base_g: base, hardener_g: hardener, scale_g: scale, least_mass_g: least, largest_mass_g: largest } = kit;
  const bounds = [
    ...(least === null ? [] : [`a kit at least ${numberText(least)} g`]),
    ...(largest === null ? [] : [`a kit at most ${numberText(largest)} g`]),
  ];
  return [`${weighedText(base, scale)} g base, ${weighedText(hardener, scale)} g hardener`, ...bounds].join(', ');
}
