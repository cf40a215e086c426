import { distance } from 'fastest-levenshtein';

/**
 * The candidate that the word was probably meant to be, or null when none is near: the same but for capitals, else at
 * most a third of its letters wrong (two at least for words of four letters and more). First of equals wins.
 */
export function suggestion(word: string, candidates: readonly string[]): string | null {
  const plain = word.toLowerCase();
  const sameLetters = candidates.find(c => c.toLowerCase() === plain);
  if (sameLetters !== undefined) return sameLetters;
  let best: string | null = null;
  let least = Math.max(word.length < 4 ? 1 : 2, Math.floor(word.length / 3)) + 1;
  for (const candidate of candidates) {
    const steps = distance(plain, candidate.toLowerCase());
    if (steps < least && steps < candidate.length) [best, least] = [candidate, steps];
  }
  return best;
}

/** `did you mean "x"?`, or null. */
export function didYouMean(word: string, candidates: readonly string[]): string | null {
  const near = suggestion(word, candidates);
  return near === null ? null : `did you mean "${near}"?`;
}

/** "a, b or c". */
export function choice(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? 'nothing') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;
}
