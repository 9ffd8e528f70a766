/** What a page asks for first: resources with their query, as the page itself will write them. */
type Asks = (parts: string[], query: URLSearchParams) => readonly string[];

export const PLATFORMS = '/platforms?limit=200';
/** Of the first gearbox of that list: which it is need not be known to ask. */
export const FIRST_MATRIX = '/fleet/matrix?measure=flare';

/** A page by its path: the file it is written in, and what it asks for. What is wrong here is asked in vain. */
const PAGES: readonly (readonly [path: RegExp, file: string, asks: Asks])[] = [
  [/^fleet$/, 'fleet-page', (_, query) => [PLATFORMS, ...fleetMatrix(query)]],
  [/^shifts$/, 'shifts-page', (_, query) => [PLATFORMS, ...(isPlain(query) ? SHIFTS : [])]],
  [
    /^logs$/,
    'logs-page',
    (_, query) => [...(isPlain(query) ? ['/logs?limit=50'] : []), '/vehicles?limit=200', PLATFORMS],
  ],
  // Its shifts are many: read before the first paint they would hold it up.
  [/^logs\/(?!upload$)([^/]+)$/, 'log-page', ([id]) => [`/logs/${id}`, `/logs/${id}/notes`]],
  [/^logs\/([^/]+)\/report$/, 'report-page', ([id]) => [`/logs/${id}/report`]],
  [/^vehicles$/, 'vehicles-page', () => ['/vehicles?limit=200', PLATFORMS]],
  [/^vehicles\/(?!new$)([^/]+)$/, 'vehicle-page', ([id]) => [`/vehicles/${id}`]],
  [/^compare$/, 'compare-page', (_, query) => [...comparison(query), '/calibrations?limit=200']],
  [
    /^calibrations\/([^/]+)$/,
    'calibration-page',
    ([id]) => ['', '/drafts', '/proposals'].map((rest) => `/calibrations/${id}${rest}`),
  ],
  [/^revisions\/([^/]+)$/, 'revision-page', ([id]) => [`/revisions/${id}`]],
  [/^proposals\/([^/]+)$/, 'proposal-page', ([id]) => [`/proposals/${id}`]],
  [/^releases$/, 'releases-page', () => ['/releases?limit=200', '/hooks', '/notices', PLATFORMS]],
];

/** The files of these pages are named in index.html, see `vite.config.ts`. */
export const EARLY_PAGES: readonly string[] = PAGES.map(([, file]) => file);

/** Pages that are there before somebody is signed in. */
const PUBLIC = /^(setup|sign-in|apply|join|reset)(\/|$)/;

/** Everything that the page at this path asks for first; who is signed in is the first of it. */
export function firstAsks(path: string, query: URLSearchParams): readonly string[] {
  if (PUBLIC.test(path)) return [];
  const known = pageAt(path);
  return ['/session', ...(known?.asks(known.values, query) ?? [])];
}

/** The file that the page at this path is written in; undefined for one that is seldom opened first. */
export const fileOf = (path: string): string | undefined => pageAt(path)?.file;

function pageAt(path: string) {
  for (const [pattern, file, asks] of PAGES) {
    const found = pattern.exec(path);
    if (found !== null) return { file, asks, values: found.slice(1) };
  }
  return undefined;
}

const SHIFTS = ['/shifts?sort=newest&limit=100', '/shifts/facets', '/shifts/distribution?quantity=flareRpm'];

/** The matrix that is seen where nothing but the gearbox was chosen. */
function fleetMatrix(query: URLSearchParams): string[] {
  const platform = query.get('platform');
  if (platform !== null && query.size === 1) return [matrixOf(platform)];
  return isPlain(query) ? [FIRST_MATRIX] : [];
}

/** What the page calls the first matrix, once the gearbox is known. */
export function matrixOf(platform: string): string {
  return `/fleet/matrix?platform=${encodeURIComponent(platform)}&measure=flare`;
}

/** What a proposal is read with, once it is known. */
export function proposalAsks(proposal: {
  readonly baseRevisionId: string;
  readonly platformId: string;
  readonly layoutVersion: number;
}): readonly string[] {
  const platform = `/platforms/${proposal.platformId}`;
  return [`/revisions/${proposal.baseRevisionId}`, platform, `${platform}/layouts/${proposal.layoutVersion}`];
}

/** Whether the page is seen as it is when nothing was chosen. */
function isPlain(query: URLSearchParams): boolean {
  return query.toString() === '';
}

function comparison(query: URLSearchParams): string[] {
  const [base, other] = [query.get('base'), query.get('other')];
  if (base === null || other === null) return [];
  // A draft was driven by nobody, and what it holds now is asked for by the page alone.
  if ([base, other].some((side) => side.startsWith('draft:'))) return [];
  const both = new URLSearchParams({ base, other });
  return [`/compare/outcomes?${both}`, `/compare/tables?${both}`];
}
