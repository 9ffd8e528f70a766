import { contentHash, defaultContent } from '@syncline/calibration';
import type { DraftResponse, LayoutDocument, PlatformDocument, Session } from '@syncline/contract';

const SIDE = 64;
const NOW = '2026-03-01T09:00:00.000Z';

/** A gearbox with one table of 64 × 64 cells, required to rise along both axes, so that every check has work to do. */
const platform: PlatformDocument = {
  id: 'dunlin-3',
  title: 'Dunlin three-speed',
  gears: [1, 2, 3].map((gear) => ({ gear, ratio: 4 - gear, applied: ['A'] })),
  clutches: [{ id: 'A', title: 'Clutch A', kind: 'clutch' }],
  shifts: [{ id: '1-2', from: 1, to: 2 }],
  programs: [{ id: 'calm', title: 'Calm', code: 1 }],
  dialects: [],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.1,
};

const layout: LayoutDocument = {
  platformId: platform.id,
  version: 1,
  title: 'One large table',
  tables: [
    {
      id: 'large',
      title: 'Large table',
      quantity: 'pressure',
      unit: 'kPa',
      repeat: 'once',
      axes: [
        { quantity: 'load', title: 'Load', unit: '%', breakpoints: steps(0, 2), editable: true },
        { quantity: 'inputSpeed', title: 'Input speed', unit: 'rpm', breakpoints: steps(800, 80), editable: true },
      ],
      storage: { type: 'u16', resolution: 1, offset: 0 },
      limits: { min: 0, max: 1500 },
      monotone: [0, 1].map((axis) => ({ axis, direction: 'rising', strict: false })),
      slopeLimits: [{ axis: 0, maxPerUnit: 30 }],
      defaultValue: 300,
    },
  ],
  rules: [{ id: 'pressure', title: 'Pressure', unit: 'kPa', kind: 'product', tables: ['large'] }],
};

function steps(first: number, step: number): number[] {
  return Array.from({ length: SIDE }, (_, i) => first + i * step);
}

/** Rising along both axes, with a ripple that smoothing can take away. */
function valueAt(row: number, column: number): number {
  return 300 + 8 * row + 3 * column + ((7 * row + 5 * column) % 3);
}

/** The answers of a server that has this one draft, by method and path below `/api/v1`. */
export function answersOfOneDraft(): Record<string, (body: unknown) => unknown> {
  const blank = defaultContent(layout, platform);
  const values = Array.from({ length: SIDE * SIDE }, (_, i) => valueAt(Math.floor(i / SIDE), i % SIDE));
  const content = {
    ...blank,
    tables: { large: { axes: layout.tables[0]!.axes.map(({ breakpoints }) => breakpoints), values: { all: values } } },
  };
  const draft: DraftResponse = {
    id: 'draft',
    calibrationId: 'calibration',
    calibrationTitle: 'Dunlin',
    platformId: platform.id,
    layoutVersion: 1,
    title: 'Bench',
    line: 'main',
    origin: 'edit',
    originNote: '',
    parentId: 'parent',
    parentNumber: 1,
    mergeParentId: null,
    mergeParentNumber: null,
    version: 1,
    lock: null,
    createdAt: NOW,
    createdByName: 'Eryngo',
    updatedAt: NOW,
    updatedByName: 'Eryngo',
    content,
    contentHash: contentHash(content),
    findings: [],
    parentContent: content,
    isUnchanged: true,
  };
  const session: Session = {
    clubName: 'Shore club',
    expiresAt: NOW,
    needs: { consent: false, secondFactor: false },
    person: {
      id: 'person',
      name: 'Eryngo',
      email: 'eryngo@club.test',
      role: 'maintainer',
      createdAt: NOW,
      suspendedAt: null,
      hasSecondFactor: false,
      consentVersion: 1,
      consentAt: NOW,
      erasedAt: null,
    },
  };
  let version = draft.version;
  const byLoad = { load: [0], value: [1] };
  const policy = {
    version: 1,
    programs: {
      default: {
        flareRpm: 60,
        flareMs: 50,
        tieUpDepth: 0.8,
        harshJerk: byLoad,
        targetInertiaTimeS: byLoad,
        slowFactor: 1.7,
      },
    },
    incompleteAfterS: 2.5,
    valveOnLimitS: 2,
    lockUpLimitS: 2,
  };
  return {
    'GET /session': () => session,
    'GET /reviews': () => ({ items: [] }),
    'GET /drafts/draft': () => draft,
    'POST /drafts/draft/lock': () => draft,
    'PUT /drafts/draft/content': () => {
      version += 1;
      return { version, updatedAt: NOW, contentHash: draft.contentHash, findings: [], lock: null };
    },
    [`GET /platforms/${platform.id}`]: () => ({
      platform,
      layoutVersions: [1],
      layouts: [{ version: 1, title: layout.title, createdAt: NOW }],
      policy,
      policies: [{ version: 1, createdAt: NOW }],
      createdAt: NOW,
    }),
    [`GET /platforms/${platform.id}/layouts/1`]: () => ({ layout, findings: [] }),
  };
}
