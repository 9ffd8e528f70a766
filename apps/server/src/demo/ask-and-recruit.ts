import {
  type Application,
  type Climate,
  CONSENT_VERSION,
  type DriveRequest,
  type GapCar,
  type GapsResponse,
  type RecruitmentResponse,
} from '@syncline/contract';
import { KELP_DIALECT, MARRAM_DIALECT, TERN_PLATFORM } from '@syncline/drivetrain';
import { ApiClient } from './api-client.js';
import type { Member } from './found-club.js';

/** Points that the maintainer has in mind, with the words for them. */
const WISHES = [
  { kind: '3-4', loadBand: 3, fluidTemperatureBand: 2, words: 'third to fourth at about half load with warm fluid' },
  {
    kind: '2-3',
    loadBand: 4,
    fluidTemperatureBand: 1,
    words: 'second to third at about two thirds of full load with cool fluid',
  },
  { kind: '4-3', loadBand: 3, fluidTemperatureBand: 1, words: 'fourth to third at about half load with cool fluid' },
  { kind: '5-6', loadBand: 3, fluidTemperatureBand: 3, words: 'fifth to sixth at about half load with hot fluid' },
] as const;

/** One request to two cars, for the point of the list where a drive tells most. */
export async function askForDrives({ client }: Member): Promise<void> {
  const platform = TERN_PLATFORM.id;
  const { items } = await client.get<GapsResponse>(`/fleet/gaps?platform=${platform}`);
  const wish = items.flatMap((gap) => WISHES.find((entry) => isPoint(entry, gap)) ?? [])[0] ?? WISHES[0];
  const query = new URLSearchParams({
    platform,
    kind: wish.kind,
    loadBand: String(wish.loadBand),
    fluidTemperatureBand: String(wish.fluidTemperatureBand),
  });
  const { items: cars } = await client.get<{ items: GapCar[] }>(`/fleet/gaps/cars?${query.toString()}`);
  await client.post<DriveRequest>('/requests', {
    platformId: platform,
    ...wish,
    wantedShifts: 12,
    wantedVehicles: 2,
    vehicleIds: cars.slice(0, 2).map(({ vehicleId }) => vehicleId),
  });
}

/** Opens the form with the suggested call; three people from elsewhere on the shore fill it in. */
export async function recruit(baseUrl: string, { client }: Member): Promise<void> {
  const { suggestedText } = await client.get<RecruitmentResponse>('/recruitment');
  await client.put<RecruitmentResponse>('/recruitment', { isOpen: true, callText: suggestedText });
  const visitor = new ApiClient(baseUrl);
  for (const application of APPLICATIONS) {
    await visitor.post('/applications', { ...application, hasConsented: true, consentVersion: CONSENT_VERSION });
  }
  const { items } = await client.get<{ items: Application[] }>('/applications');
  const unsure = items.find(({ platformId }) => platformId === null);
  await client.post<Application>(`/applications/${unsure?.id}/decision`, {
    decision: 'waiting',
    note: 'Has to find out which gearbox it is.',
  });
}

const APPLICATIONS: readonly (Record<string, unknown> & { readonly climates: readonly Climate[] })[] = [
  {
    name: 'Seablite',
    email: 'seablite@shore.example',
    car: 'Campervan, twelve years old',
    engine: '2.3 diesel',
    gearboxLabel: 'T6 KE',
    platformId: TERN_PLATFORM.id,
    dialect: KELP_DIALECT.id,
    place: 'the far north of the coast',
    climates: ['frost'],
    yearlyKm: 18_000,
    logger: 'a bus logger with a card',
  },
  {
    name: 'Squill',
    email: 'squill@shore.example',
    car: 'Pick-up with a box',
    engine: '3.0 diesel',
    platformId: TERN_PLATFORM.id,
    dialect: MARRAM_DIALECT.id,
    place: 'behind the cliffs',
    climates: ['mild', 'mountains'],
    yearlyKm: 9000,
    logger: 'a phone with an adapter',
  },
  {
    name: 'Dodder',
    email: 'dodder@shore.example',
    car: 'Campervan, converted by myself',
    place: 'the southern dunes',
    climates: ['heat'],
  },
];

function isPoint(wish: (typeof WISHES)[number], gap: GapsResponse['items'][number]): boolean {
  return (
    gap.kind === wish.kind &&
    gap.load.index === wish.loadBand &&
    gap.fluidTemperature.index === wish.fluidTemperatureBand
  );
}
