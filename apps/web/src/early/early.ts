/**
 * Runs before everything else: while the script of the page is on its way and read, the server works on what the page
 * will show. The small file knows nothing of the page but its path; the page takes the answers or asks by itself.
 */
import { askEarly } from './early-answers.js';
import { firstAsks, fleetAsks, PLATFORMS } from './first-asks.js';

const base = new URL(document.baseURI).pathname.replace(/[^/]*$/, '');
const page = decodeURI(location.pathname).slice(base.length).replace(/\/$/, '');
const query = new URLSearchParams(location.search);

const ask = (resource: string) => askEarly(`${base}api/v1${resource}`);

for (const resource of firstAsks(page, query)) {
  const answer = ask(resource);
  if (page === 'fleet' && resource === PLATFORMS) void answer.then((found) => askFleet(found?.data));
}

/** Which gearbox the fleet is seen for stands in the address or is the first of those that there are. */
function askFleet(platforms: unknown): void {
  const { items = [] } = (platforms ?? {}) as { items?: readonly { id: string }[] };
  const platform = query.get('platform') ?? items[0]?.id;
  if (platform !== undefined) for (const resource of fleetAsks(platform, query)) void ask(resource);
}
