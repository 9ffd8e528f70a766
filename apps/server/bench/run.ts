import { machine, printJson } from '../../../tests/bench/figures.js';
import { benchFleet } from './fleet.js';
import { benchTables } from './tables.js';

/**
 * Without arguments everything in a few minutes; `tables` alone, or sizes of fleets. With `rows` fleets of up to two
 * million shifts have them in rows and not in summaries alone, which takes some minutes to fill.
 */
const asked = process.argv.slice(2);
const named = asked.map(Number).filter((size) => size > 0);
const isAll = named.length === 0 && !asked.includes('tables');
const sizes = isAll ? [100_000, 1_000_000, 10_000_000] : named;

console.log(machine());
const figures: Record<string, unknown> = {};
if (isAll || asked.includes('tables')) figures.tables = await benchTables();
for (const size of sizes) figures[String(size)] = await benchFleet(size, { hasRows: asked.includes('rows') });
printJson(figures);
