import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { measureDetection } from './measure-detection.ts';
import { reportText } from './report-text.ts';

/** Some 60 drives of 24 cars have well over 2,000 shifts. */
const RUNS = [
  { rateHz: 100, driveCount: 72 },
  { rateHz: 50, driveCount: 48 },
  { rateHz: 20, driveCount: 48 },
];

// The compiled script lies in tests/dist/report; the report stands beside its source.
const target = fileURLToPath(new URL('../../report/detection.md', import.meta.url));
const reports = RUNS.map((run) => {
  console.log(`Driving ${run.driveCount} drives at ${run.rateHz} Hz ...`);
  return measureDetection(run);
});
writeFileSync(target, reportText(reports));
console.log(`Wrote ${target}`);
