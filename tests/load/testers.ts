import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { faultsOf } from './load-figures.ts';
import { loadJson, loadPage } from './load-report.ts';
import { type LoadSetting, readSetting, USAGE } from './load-setting.ts';
import { runLoad } from './run-load.ts';

let setting: LoadSetting;
try {
  setting = readSetting();
} catch (error) {
  console.error(`${(error as Error).message}\n\n${USAGE}`);
  process.exit(2);
}
const result = await runLoad(setting, (text) => console.log(text));
const page = loadPage(result);
console.log(`\n${page}`);
writeFileSync(join(import.meta.dirname, 'load.json'), loadJson(result));
writeFileSync(join(import.meta.dirname, 'load.md'), page);
process.exitCode = faultsOf(result.answers, result.samples).length === 0 ? 0 : 1;
