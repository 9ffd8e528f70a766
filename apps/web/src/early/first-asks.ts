/** What a page asks for first: resources with their query, as the page itself will write them. */
type Asks = (parts: string[], query: URLSearchParams) => readonly string[];

export const PLATFORMS = '/platforms?limit=200';
/** Of the first gearbox of that list: which it is need not be known to ask. */
export const FIRST_MATRIX = '/fleet/matrix?measure=flare';

/** By the path of the page. What is missing here, the page asks for when it is drawn; what is wrong here is asked in vain. */
const FIRST_ASKS: readonly (readonly [path: RegExp, asks: Asks])[] = [
  [/^fleet$/, (_, query) => [PLATFORMS, ...fleetMatrix(query)]],
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
  const both = new URLSearchParams({ base, other });
  const tables = `/compare/tables?${both}`;
  // A draft was driven by nobody.
  return [base, other].some((side) => side.startsWith('draft:')) ? [tables] : [`/compare/outcomes?${both}`, tables];
}
