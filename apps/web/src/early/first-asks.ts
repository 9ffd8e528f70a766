/** What a page asks for first: resources with their query, as the page itself will write them. */
type Asks = (parts: string[], query: URLSearchParams) => readonly string[];

export const PLATFORMS = '/platforms?limit=200';

/** By the path of the page. What is missing here, the page asks for when it is drawn; what is wrong here is asked in vain. */
const FIRST_ASKS: readonly (readonly [path: RegExp, asks: Asks])[] = [
  [/^fleet$/, () => [PLATFORMS]],
  [/^shifts$/, (_, query) => [PLATFORMS, ...(isPlain(query) ? SHIFTS : [])]],
  [/^logs$/, (_, query) => [...(isPlain(query) ? ['/logs?limit=50'] : []), '/vehicles?limit=200', PLATFORMS]],
  // Its shifts are many: read before the first paint they would hold it up.
  [/^logs\/(?!upload$)([^/]+)$/, ([id]) => [`/logs/${id}`, `/logs/${id}/notes`]],
  [/^logs\/([^/]+)\/report$/, ([id]) => [`/logs/${id}/report`]],
  [/^vehicles$/, () => ['/vehicles?limit=200', PLATFORMS]],
  [/^vehicles\/(?!new$)([^/]+)$/, ([id]) => [`/vehicles/${id}`]],
  [/^compare$/, (_, query) => [...comparison(query), '/calibrations?limit=200']],
  [/^calibrations\/([^/]+)$/, ([id]) => ['', '/drafts', '/proposals'].map((rest) => `/calibrations/${id}${rest}`)],
  [/^revisions\/([^/]+)$/, ([id]) => [`/revisions/${id}`]],
  [/^proposals\/([^/]+)$/, ([id]) => [`/proposals/${id}`]],
  [/^releases$/, () => ['/releases?limit=200', '/hooks', '/notices', PLATFORMS]],
];

/** Pages that are there before somebody is signed in. */
const PUBLIC = /^(setup|sign-in|apply|join|reset)(\/|$)/;

/** Everything that the page at this path asks for first; who is signed in is the first of it. */
export function firstAsks(path: string, query: URLSearchParams): readonly string[] {
  if (PUBLIC.test(path)) return [];
  for (const [pattern, asks] of FIRST_ASKS) {
    const found = pattern.exec(path);
    if (found !== null) return ['/session', ...asks(found.slice(1), query)];
  }
  return ['/session'];
}

const SHIFTS = ['/shifts?sort=newest&limit=200', '/shifts/facets', '/shifts/distribution?quantity=flareRpm'];

/** What the fleet is seen by, once its gearbox is known. */
export function fleetAsks(platform: string, query: URLSearchParams): readonly string[] {
  const of = `platform=${encodeURIComponent(platform)}`;
  const always = [`/fleet/overview?${of}`, `/fleet/cohorts?${of}`, `/platforms/${encodeURIComponent(platform)}`];
  const isWhole = [...query.keys()].every((name) => name === 'platform');
  const plain = [`/fleet/matrix?${of}&measure=flare`, `/fleet/coverage?${of}`, `/fleet/trend?${of}`];
  return isWhole ? [...plain, ...always] : always;
}

/** Whether the page is seen as it is when nothing was chosen. */
function isPlain(query: URLSearchParams): boolean {
  return query.toString() === '';
}

function comparison(query: URLSearchParams): string[] {
  const [base, other] = [query.get('base'), query.get('other')];
  if (base === null || other === null) return [];
  const both = new URLSearchParams({ base, other });
  const tables = `/compare/tables?${both}`;
  // A draft was driven by nobody.
  return [base, other].some((side) => side.startsWith('draft:')) ? [tables] : [`/compare/outcomes?${both}`, tables];
}
