// Writes records.txt anew: npx tsx packages/calibration/test/transfer/make-records.ts
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { RECORD_COMMANDS, runCommand } from './record-commands.ts';
import { fixtureOf, RECORDS_FILE } from './record-fixtures.ts';

const fixtures = RECORD_COMMANDS.map((command) => fixtureOf(command, runCommand(command)));
writeFileSync(fileURLToPath(RECORDS_FILE), fixtures.join('\n'));
