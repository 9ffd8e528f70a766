import { reportAll } from './measure.js';
import { benchSignals } from './signals.js';
import { benchSummaries } from './summaries.js';
import { benchSwitch } from './switch.js';

await benchSignals();
await benchSummaries();
benchSwitch();
reportAll();
