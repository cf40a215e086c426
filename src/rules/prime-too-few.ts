import { primeNeeded } from '../analysis/program/ramp-shots.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { counted, inWords } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

export const primeTooFew = rule(
  'prime-too-few',
  byCheck.warning(
    'The prime does not fill the needle',
    'A new needle is full of air. As long as some of it is in there, the first connectors get air in place of resin.',
    'Waste as many shots as the message says, or more, with every new needle.',
  ),
  ({ recipe, needleVolume, window }, say) => {
    if (recipe.process === undefined || needleVolume === null || window === null) return [];
    const needed = primeNeeded(needleVolume, window.aim);
    if (recipe.process.prime >= needed) return [];
    const message = `the prime is ${counted(recipe.process.prime, 'shot')}, the needle holds ${inWords(needleVolume, 'µL')}, which is ${needed} shots of ${inWords(window.aim, 'µL')}`;
    return [say('process.prime', message, `write \`prime: ${needed}\` or more`)];
  },
);
