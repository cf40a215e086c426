import { byCommand, findingOf } from './coded.ts';

/** The codes of the spread. */
export const spreadCodes = {
  'spread-no-tolerance': byCommand.warning(
    'No input has a tolerance',
    'The spread of the shot comes from the tolerances of its inputs. Without one it is zero, which no line is.',
    'Give tolerances to what deviates: `viscosity: 2.4 Pa.s ± 15 %`, `station.pressure.accuracy`, `needle.bore`.',
  ),
  'spread-correlation-impossible': byCommand.error(
    'The declared correlations contradict each other',
    'Correlations bound one another: what goes with two things that go together cannot go against one of them. A matrix of correlations must be positive definite.',
    'Bring the correlations nearer to zero. What always moves together is one value: write it once and refer to it with a YAML alias.',
  ),
  'spread-correlation-twice': byCommand.error(
    'Two inputs are correlated twice',
    'Two declarations for one pair contradict each other, or one of them says nothing; so do those for two keys that are one value.',
    'Keep one of them.',
  ),
  'spread-sample-impossible': byCommand.error(
    'The tolerances leave hardly any possible sample',
    'Draws in which something that must be above zero is not, or the models cannot be used, are drawn again. Where most are, the tolerances do not describe the inputs.',
    'Narrow the tolerance that the message names, or give it `distribution: uniform`.',
  ),
  'spread-no-seat': byCommand.warning(
    'In some connectors the needle does not seat',
    'Within their tolerances the needle can be too thick to enter or thin enough to pass. Such a connector gets no bore shot, so it is left out of the spread.',
    'Check the outside of the needle and the tolerances of the cavity.',
  ),
  'spread-cable-tight': byCommand.warning(
    'In some connectors the cable is thicker than the cavity',
    'Within their tolerances cable and cavity can meet. A cable that stops at a cone sits a little further forward, which hardly moves the volumes; a fibre that is thicker than its bore does not go in at all.',
    'Nothing, where parts are matched or the cable finds its own place; otherwise check the tolerances of cavity and cable.',
  ),
  'spread-syringe-empties': byCommand.warning(
    'The shot changes as the syringe empties',
    'Air that has to fill the space above the plunger takes longer as that grows, so that one dwell gives another shot from a nearly empty syringe. Before the trim the spread is that of one shot from a full one; after it the whole run counts.',
    'Go by the figures after the trim, or by `rehearse`; fill less, or take a dwell that is long beside the filling.',
  ),
  'spread-not-linear': byCommand.warning(
    'First order and Monte Carlo do not agree',
    'First order takes the shot as a straight line over the tolerances and its distribution as normal. Where it bends or one flat tolerance rules, that no longer holds.',
    'Use the Monte Carlo numbers.',
  ),
  'spread-few-samples': byCommand.warning(
    'Too few samples for a verdict',
    'The ends of the interval still move with the seed by as much as the agreement of the two ways is judged by.',
    'Take more samples with `--samples`.',
  ),
  'spread-sensitivity-unsure': byCommand.warning(
    'A sensitivity depends on the step it is taken with',
    'The derivative changes within a tenth of the standard uncertainty: the shot has a corner there, such as a pressure at which the resin stops.',
    'Use the Monte Carlo numbers, which take no derivative.',
  ),
};

export const spreadFinding = findingOf(spreadCodes);
