import { spawnSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Client } from '../test/support/client.js';
import { type Club, foundClub } from '../test/support/club.js';
import { addDrive, someShifts } from '../test/support/driven-fleet.js';
import { startServer, type TestServer } from '../test/support/server.js';
import { type Figure, type MeasureOptions, measure } from './measure.js';

const LOADER = fileURLToPath(new URL('../../../packages/store/bench/load-fleet.ts', import.meta.url));
/** Above it the loader writes summaries only, and nothing is asked of single shifts. */
const MAX_ROWS = { byDefault: 200_000, asked: 2_000_000 };
const DRIVE_SHIFTS = 250;

/** What the fleet pages ask a server that holds so many shifts of 500 cars, over its whole way from request to answer. */
export async function benchFleet(shiftCount: number, { hasRows = false } = {}): Promise<Figure[]> {
  const withRows = shiftCount <= (hasRows ? MAX_ROWS.asked : MAX_ROWS.byDefault);
  console.log(`\n${shiftCount.toLocaleString('en')} shifts of 500 cars`);
  const founding = await startServer();
  const { folder } = founding;
  const club = await foundClub(founding);
  await founding.app.close();
  founding.store.close();
  try {
    const load = [join(folder, 'data'), String(shiftCount), withRows ? 'rows' : 'summaries'];
    const loaded = spawnSync('npx', ['tsx', LOADER, ...load], { stdio: 'inherit' });
    if (loaded.status !== 0) throw new Error('the database could not be filled');
    const opening = performance.now();
    const server = await startServer({ folder });
    console.log(
      `opened in ${((performance.now() - opening) / 1000).toFixed(1)} s, with the summaries counted where they were not`,
    );
    try {
      return await ask(server, club, withRows);
    } finally {
      await server.close();
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function ask(server: TestServer, club: Club, withRows: boolean): Promise<Figure[]> {
  const client = new Client(server, club.as.maintainer.cookie);
  const get = async (path: string) => {
    const response = await client.get(path);
    if (response.statusCode !== 200) throw new Error(`${path}: ${response.statusCode} ${response.body}`);
    return response;
  };
  const fleet = 'platform=skua&measure=flare';
  const [base, other] = club.revisionIds;
  const pair = `base=${base}&other=${other}`;
  let seed = 50_000;
  const addOne = () => {
    const vehicleId = `fleet-car-${String(seed % 500).padStart(3, '0')}`;
    addDrive(server.store, { vehicleId, revisionId: base, seed: seed++, shifts: SHIFTS });
  };
  const figures: Figure[] = [];
  const time = async (what: string, path: string, options: MeasureOptions = {}) => {
    figures.push(await measure(what, () => get(path), options));
  };
  const once = { runs: 1, warmUps: 0 };
  await time('first matrix after the start', `/fleet/matrix?${fleet}`, once);
  await time('first comparison after the start', `/compare/outcomes?${pair}`, once);
  await time('matrix', `/fleet/matrix?${fleet}`);
  await time('matrix of a cohort', `/fleet/matrix?${fleet}&dialect=sand`);
  await time('matrix of every temperature', `/fleet/matrices?${fleet}`);
  await time('trend', '/fleet/trend?platform=skua');
  await time('vehicles', `/fleet/vehicles?${fleet}`);
  await time('coverage', '/fleet/coverage?platform=skua');
  await time('comparison of two revisions, four measures', `/compare/outcomes?${pair}`);
  const afterADrive = { runs: 15, warmUps: 5, before: addOne };
  await time('the same, each after a drive was added', `/compare/outcomes?${pair}`, afterADrive);
  await time(
    'detail of a measure, each after a drive was added',
    `/compare/outcomes/detail?${pair}&measure=flare`,
    afterADrive,
  );
  await time('detail of a measure', `/compare/outcomes/detail?${pair}&measure=flare`);
  await time('overlap', `/compare/outcomes/overlap?${pair}`);
  await time('difference of seven means, first', `/compare/outcomes/spreads?${pair}`, once);
  await time('difference of seven means, again', `/compare/outcomes/spreads?${pair}`);
  await time('spread, first', '/fleet/spread?platform=skua&measure=peakJerk', once);
  await time('spread, again', '/fleet/spread?platform=skua&measure=peakJerk');
  await time('facets', '/shifts/facets?platform=skua&kind=3-4');
  if (withRows) await askOfShifts(time);
  const pages = [
    `/fleet/matrix?${fleet}`,
    `/fleet/matrices?${fleet}`,
    `/fleet/vehicles?${fleet}`,
    `/compare/outcomes?${pair}`,
  ];
  figures.push(
    await measure(
      'sixteen pages asked for at once after a drive',
      () => Promise.all([...pages, ...pages, ...pages, ...pages].map(get)),
      {
        before: addOne,
        runs: 5,
      },
    ),
    await measure('a drive of 250 shifts kept', addOne),
  );
  return figures;
}

async function askOfShifts(time: (what: string, path: string) => Promise<void>): Promise<void> {
  const some = 'platform=skua&kind=3-4&grade=flare&loadMin=30&loadMax=45';
  await time('shifts, newest', '/shifts?platform=skua');
  await time('shifts of one kind, newest', '/shifts?platform=skua&kind=3-4');
  for (const sort of ['newest', 'flareRpm', 'peakJerk', 'tieUpDepth']) {
    await time(`flares of 3-4 at 30–45 % load by ${sort}`, `/shifts?${some}&sort=${sort}`);
  }
  await time('facets at 30–45 % load', '/shifts/facets?platform=skua&loadMin=30&loadMax=45');
  await time('distribution of flares of 3-4', '/shifts/distribution?platform=skua&kind=3-4&quantity=flareRpm');
  await time('distribution of jerk over all', '/shifts/distribution?platform=skua&quantity=peakJerk');
}

const SHIFTS = someShifts(DRIVE_SHIFTS);
