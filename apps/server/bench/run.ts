import { benchFleet } from './fleet.js';
import { benchTables } from './tables.js';

/** Without arguments everything; `tables` alone, or sizes of fleets. */
const asked = process.argv.slice(2);
const sizes = asked.length === 0 ? [100_000, 1_000_000, 10_000_000] : asked.map(Number).filter((size) => size > 0);

const figures: Record<string, unknown> = {};
if (asked.length === 0 || asked.includes('tables')) figures.tables = await benchTables();
for (const size of sizes) figures[String(size)] = await benchFleet(size);
console.log(JSON.stringify({ node: process.version, figures }));
