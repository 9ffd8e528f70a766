import { benchSignals } from './signals.js';
import { benchSummaries } from './summaries.js';

await benchSignals();
await benchSummaries();
