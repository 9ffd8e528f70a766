/** Smallest step by which a sample that did not advance is moved, so that a plot can draw it (s). */
const NUDGE_S = 1e-6;

/**
 * Time for a plot, which needs strictly increasing values. A repeated time is drawn a hair later; counted, because a
 * plot must not hide what the log holds. All samples are kept, so no peak is lost.
 */
export function strictlyIncreasing(timeS: readonly number[]): { timeS: number[]; repeats: number; stepsBack: number } {
  const plotted: number[] = [];
  let repeats = 0;
  let stepsBack = 0;
  let last = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < timeS.length; i++) {
    const time = timeS[i] as number;
    if (i > 0 && time === timeS[i - 1]) repeats += 1;
    if (i > 0 && time < (timeS[i - 1] as number)) stepsBack += 1;
    last = time > last ? time : last + NUDGE_S;
    plotted.push(last);
  }
  return { timeS: plotted, repeats, stepsBack };
}
