import { byCommand, findingOf } from './coded.ts';

/** The codes of batch and setup card. */
export const batchCodes = {
  'batch-option': byCommand.error(
    'A batch option is impossible',
    'Counts start at 1, shares lie below one, and working hours may not overlap: a schedule needs to know who works when.',
    'Correct the option that the message names.',
  ),
  'batch-syringe-small': byCommand.error(
    'A full syringe does not hold enough for one connector',
    'Dead volume (`left_over`) and prime come off the fill first.',
    'Fill more, reduce the dead volume, or prime with fewer shots.',
  ),
  'batch-kit-small': byCommand.error(
    'A kit is too small for one connector',
    'Mixing leaves part of every kit behind; what remains has to prime the needle and fill a connector.',
    'Mix a larger kit, or lose less of it.',
  ),
  'batch-kit-unmixable': byCommand.error(
    'A kit cannot be mixed as the recipe asks',
    'Below its least mass the scale does not keep the ratio, and the resin cures soft or brittle; above its largest the mix heats itself and runs away.',
    'Take a kit between the two masses, weigh on a finer scale, or mix in a wider cup.',
  ),
  'batch-no-time': byCommand.error(
    'No kit is ready within the working hours',
    'A kit is mixed within one shift (`process.mixing`), waits `process.ready_after`, and has to be used inside the working hours before its pot life ends.',
    'Widen the shifts, or take a resin that is ready sooner or has a longer pot life.',
  ),
  'card-option': byCommand.error(
    'A card option is impossible',
    'Dots are counted from 1.',
    'Correct the option that the message names.',
  ),
  'card-syringe': byCommand.error(
    'There is no card for that syringe',
    'A card of one syringe rests on its last check: that has to be in the log, made with this very recipe, and to have released it with a program. A recipe that has changed since delivers something else than was judged.',
    'Check the syringe with this recipe (`release --log`), or make the card with the recipe that it was checked with.',
  ),
  'card-not-released': byCommand.warning(
    'The settings on the card are not released',
    'The recipe has no complete `settings`, so pressure, dwell or ramp are computed. A computed setting is a starting point, to be proved on scrap connectors.',
    'Prove the settings and write them into `settings` (`setpoint --write`), then make the card again.',
  ),
  'card-out-of-tolerance': byCommand.warning(
    'The settings leave the tolerance before the run ends',
    'From the shot named on, the program in force misses the aim by more than the tolerance; the card ends the run before it.',
    'Release the ramp that `dwellbook ramp` computes, or stop earlier.',
  ),
  'card-no-dot': byCommand.warning(
    'The card has no dot for the first-piece check',
    'The rings of the first-piece check cannot be worked out, or are too large for the card, so that the first piece has to be weighed.',
    'Add what the message names, or check against a gauge sheet or a balance.',
  ),
  'card-steps-summarised': byCommand.warning(
    'The card does not show every step of the ramp',
    'In figures that can be read at arm’s length the table has more rows than the page. The card gives the program, and its first and last steps.',
    'Set the program at the station, or release a ramp with a larger `every`.',
  ),
};

export const batchFinding = findingOf(batchCodes);
