import { CONSENT_VERSION } from '@syncline/contract';
import type { Client } from './client.js';
import { type Club, made } from './club.js';
import type { TestServer } from './server.js';

/** What calls of drive requests and applications are about. */
export interface RequestThings {
  readonly club: Club;
  /** Id of a fresh open request to the tester's car. */
  readonly request: () => Promise<string>;
  /** Id of a fresh application. */
  readonly application: () => Promise<string>;
}

/** A request to one car, for shifts that the synthetic drive does not have. */
export const aRequest = (vehicleIds: readonly string[], change: object = {}) => ({
  platformId: 'skua',
  kind: '1-2',
  loadBand: 2,
  fluidTemperatureBand: 0,
  wantedShifts: 6,
  wantedVehicles: 1,
  words: 'first to second at about a third of full load with cold fluid',
  vehicleIds,
  ...change,
});

export const anApplication = (change: object = {}) => ({
  name: 'Sea Rocket',
  email: 'Rocket@Shore.example',
  car: 'pick-up of 2009',
  engine: '3.0 petrol',
  gearboxLabel: 'S3',
  platformId: 'skua',
  dialect: 'shingle',
  place: 'up the fjord',
  climates: ['frost'],
  yearlyKm: 12_000,
  logger: 'a bus logger',
  hasConsented: true,
  consentVersion: CONSENT_VERSION,
  ...change,
});

/** Opens the club for applications and brings what `REQUEST_CASES` need. `maintainer` must stay signed in. */
export async function requestThings(
  { app }: TestServer,
  club: Club,
  maintainer: Client,
): Promise<Omit<RequestThings, 'club'>> {
  await made(maintainer.put('/recruitment', { isOpen: true, callText: 'Come.' }));
  return {
    request: async () => (await made(maintainer.post('/requests', aRequest([club.vehicleId])))).id,
    application: async () => {
      await app.inject({ method: 'POST', url: '/api/v1/applications', payload: anApplication() });
      return (await made(maintainer.get('/applications?limit=1'))).items[0].id;
    },
  };
}

interface RequestCase {
  /** What a permitted caller is answered. */
  readonly success: number;
  /** Whether another tester is told that there is no such thing. */
  readonly isOwn?: boolean;
  call(client: Client, things: RequestThings): ReturnType<Client['get']>;
}

const read = (path: string): RequestCase => ({ success: 200, call: (client) => client.get(path) });
const point = 'platform=skua&kind=1-2&loadBand=2&fluidTemperatureBand=3';

/** Every route of requests, gaps, recruitment and applications with one good call of it. */
export const REQUEST_CASES: Readonly<Record<string, RequestCase>> = {
  'GET /api/v1/fleet/gaps': read('/fleet/gaps?platform=skua'),
  'GET /api/v1/fleet/gaps/cars': read(`/fleet/gaps/cars?${point}`),
  'GET /api/v1/requests': read('/requests?state=open'),
  'POST /api/v1/requests': {
    success: 201,
    call: (client, { club }) => client.post('/requests', aRequest([club.vehicleId])),
  },
  'GET /api/v1/requests/:requestId': {
    success: 200,
    isOwn: true,
    call: async (client, { request }) => client.get(`/requests/${await request()}`),
  },
  'POST /api/v1/requests/:requestId/withdraw': {
    success: 200,
    call: async (client, { request }) => client.post(`/requests/${await request()}/withdraw`, { reason: 'enough' }),
  },
  'POST /api/v1/requests/:requestId/answer': {
    success: 200,
    isOwn: true,
    call: async (client, { club, request }) =>
      client.post(`/requests/${await request()}/answer`, { vehicleId: club.vehicleId, answer: 'decline', reason: '' }),
  },

  'GET /api/v1/recruitment': read('/recruitment'),
  'PUT /api/v1/recruitment': {
    success: 200,
    call: (client) => client.put('/recruitment', { isOpen: true, callText: 'Come.' }),
  },
  'GET /api/v1/application-form': read('/application-form'),
  'POST /api/v1/applications': { success: 202, call: (client) => client.post('/applications', anApplication()) },
  'GET /api/v1/applications': read('/applications?state=new'),
  'POST /api/v1/applications/:applicationId/decision': {
    success: 200,
    call: async (client, { application }) =>
      client.post(`/applications/${await application()}/decision`, { decision: 'declined' }),
  },
  'POST /api/v1/applications/:applicationId/invitation': {
    success: 201,
    call: async (client, { application }) => client.post(`/applications/${await application()}/invitation`),
  },
  'DELETE /api/v1/applications/:applicationId': {
    success: 204,
    call: async (client, { application }) => client.delete(`/applications/${await application()}`),
  },
};
