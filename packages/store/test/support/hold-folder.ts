import { openStore } from '../../src/index.js';
import { aClub } from './builders.js';
import { countingIds } from './counting-ids.js';

// Opens the folder named on the command line, says so, and holds it until killed.
const store = openStore({ folder: process.argv[2], clock: Date.now, ids: countingIds() });
aClub(store);
console.log('holding');
setInterval(() => store.status(), 1000);
