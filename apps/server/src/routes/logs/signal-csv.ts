import type { SignalBatch, SignalId } from '@syncline/drivelog';
import { csvLine } from '../csv.js';
import { describeSignal } from './signal-titles.js';

/** Raw samples as CSV, run by run: time first, the unit in each header, nothing for a missing value. */
export async function* signalCsv(
  signalIds: readonly SignalId[],
  batches: AsyncIterable<SignalBatch>,
): AsyncGenerator<string> {
  const heads = signalIds.map((id) => {
    const { title, unit } = describeSignal(id);
    return unit === '' ? title : `${title} (${unit})`;
  });
  yield csvLine(['Time (s)', ...heads]);
  for await (const { timeS, signals } of batches) {
    const columns = signalIds.map((id) => signals[id]);
    let text = '';
    for (let i = 0; i < timeS.length; i++) {
      text += csvLine([timeS[i], ...columns.map((column) => column?.[i] ?? null)]);
    }
    yield text;
  }
}
