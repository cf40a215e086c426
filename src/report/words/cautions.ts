/** The cautions that every sheet of paper and every longer help text carries; one home, so that they never differ. */
export const CAUTIONS: readonly string[] = [
  'Compressed air stores energy: stay below the lowest rating in the line (regulator, hose, barrel) and depressurise before opening.',
  'Needles puncture skin.',
  'Uncured resins and hardeners irritate and sensitise skin: gloves, eye protection and ventilation as the safety data sheet says.',
  'A mixed mass heats itself: never leave a large one standing.',
  'Fibre ends are sharp and may carry light.',
  "Results are starting points: prove them on scrap connectors. The resin's data sheet, the equipment's manual, local codes and licensed practice come first.",
];

/** The cautions as one paragraph. */
export const CAUTION_TEXT = CAUTIONS.join(' ');
