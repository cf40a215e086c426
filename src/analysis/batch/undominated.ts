/** Labels of a search, sorted in place by when they end; of them only those that have made more than every earlier one. */
export function undominated<L extends { readonly done: number }>(labels: L[], endOf: (label: L) => number): L[] {
  labels.sort((a, b) => endOf(a) - endOf(b) || b.done - a.done);
  let most = 0;
  return labels.filter(label => {
    const better = label.done > most;
    most = Math.max(most, label.done);
    return better;
  });
}
