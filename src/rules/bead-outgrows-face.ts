import { boreMarch } from '../analysis/needles/bore-shot.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inSeconds, inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { fibreBeadDiameter } from '../physics/drop/fibre-bead.ts';
import { rule } from './rule.ts';

/** Time from the sight of the wanted bead to the end of the air [s]; ours, no source. */
export const REACTION = 0.25;

export const beadOutgrowsFace = rule(
  'bead-outgrows-face',
  byCheck.warning(
    'The bead outgrows the end face before the air is off',
    'Between the sight of the bead and the end of the air the bead goes on growing, fastest with fresh resin. What runs over the edge of the face has to be cleaned off, or locks what has to move.',
    'Take less pressure or a smaller bead, or end the bore shot by dwell; `process.reaction` is the time that a pair of eyes and a foot take.',
  ),
  ({ recipe, setting, start, book }, say) => {
    const { result: made } = book;
    const face = recipe.connector?.face?.value;
    if (made === null || face === undefined || setting === null || start.result === null) return [];
    if (recipe.process?.bore_shot === 'by_dwell') return [];
    const { finalBead, finalBeadDiameter, wantedBead } = made;
    if (finalBead === null || finalBeadDiameter === null || wantedBead === null) return [];
    const row = (made.beads - 1) * (made.connector.cavity?.[0]?.pitch?.value ?? 0);
    if (!atMost(row + finalBeadDiameter, face)) return []; // said already
    const march = boreMarch(recipe, made, start.result, setting.pressure);
    if (march === null || !(march.beadFlow > 0)) return [];
    const reaction = recipe.process?.reaction?.value ?? REACTION;
    const grown = (march.beadFlow * reaction) / made.beads;
    const volume = finalBead + grown;
    const fibreDiameter = made.connector.cable?.[0]?.front.value ?? 0;
    const wide = fibreBeadDiameter({ volume, contactAngle: wantedBead.contactAngle, fibreDiameter });
    if (wide === null || atMost(row + wide, face)) return [];
    const message = `in a reaction of ${inSeconds(reaction)} the bead grows by ${inWords(grown, 'µL')}: with the fibre in it is ${inWords(wide, 'mm')} wide, the end face ${inWords(face, 'mm')}`;
    return [say('settings.pressure', message)];
  },
);
