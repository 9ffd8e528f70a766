import { performance } from 'node:perf_hooks';
import { driveTern, ternDrives, ternFleet, writeCsvLog } from '../src/index.js';

const RUNS = 5;
const SEED = 'bench';

/** Simulated seconds per second on one thread: the drive with its log and truth, and then the log as CSV. */
function measure(driveCount: number): void {
  const cars = ternFleet(SEED);
  const drives = ternDrives(SEED, cars.length, 150).slice(0, driveCount);
  const simulatedS = drives.reduce((sum, { durationS }) => sum + durationS, 0);
  const speeds: number[] = [];
  let writtenMs = 0;
  let writtenBytes = 0;
  for (let run = 0; run < RUNS; run++) {
    let drivenMs = 0;
    let shiftCount = 0;
    for (const drive of drives) {
      const car = cars[drive.carIndex];
      const start = performance.now();
      const { log, truth } = driveTern(drive, car);
      const driven = performance.now();
      for (const chunk of writeCsvLog(log, car.dialect)) writtenBytes += chunk.length;
      writtenMs += performance.now() - driven;
      drivenMs += driven - start;
      shiftCount += truth.length;
    }
    if (shiftCount < 20 * driveCount) throw new Error(`Only ${shiftCount} shifts in ${driveCount} drives.`);
    speeds.push((1000 * simulatedS) / drivenMs);
  }
  speeds.sort((a, b) => a - b);
  const [slowest, median, fastest] = [speeds[0], speeds[RUNS >> 1], speeds[RUNS - 1]].map(Math.round);
  const csv = (writtenBytes / 1e6 / (writtenMs / 1000)).toFixed(0);
  const heapMiB = Math.round(process.memoryUsage().rss / 2 ** 20);
  console.log(
    `${driveCount} drives, ${simulatedS} s: ${median} simulated s/s (${slowest} to ${fastest}), CSV ${csv} MB/s, resident ${heapMiB} MiB`,
  );
}

console.log(`drivetrain, Node ${process.version}, median of ${RUNS} runs (slowest to fastest)`);
for (const driveCount of [4, 16]) measure(driveCount);
