import {
  affectedResponse,
  controlUnitResponse,
  controlUnitsResponse,
  type createControlUnitRequest,
  type recallUnitsRequest,
  type reportFirmwareRequest,
  unitQueueResponse,
  unitRecall,
  unitRecallsResponse,
  type updateControlUnitRequest,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { get, send } from './client.js';

const unitPath = (unitId: string) => `/control-units/${encodeURIComponent(unitId)}`;

export interface UnitMake {
  hardware?: string | undefined;
  firmware?: string | undefined;
}

export const unitQueries = {
  list: () =>
    queryOptions({
      queryKey: ['units', 'list'],
      queryFn: ({ signal }) => get('/control-units', controlUnitsResponse, { signal }),
    }),
  one: (unitId: string) =>
    queryOptions({
      queryKey: ['units', 'one', unitId],
      queryFn: ({ signal }) => get(unitPath(unitId), controlUnitResponse, { signal }),
    }),
  affected: ({ hardware, firmware }: UnitMake) =>
    queryOptions({
      queryKey: ['units', 'affected', hardware, firmware],
      queryFn: ({ signal }) =>
        get('/control-units/affected', affectedResponse, { query: { hardware, firmware }, signal }),
    }),
  recalls: () =>
    queryOptions({
      queryKey: ['units', 'recalls'],
      queryFn: ({ signal }) => get('/control-units/recalls', unitRecallsResponse, { signal }),
    }),
  queue: () =>
    queryOptions({
      queryKey: ['units', 'queue'],
      queryFn: ({ signal }) => get('/control-units/queue', unitQueueResponse, { signal }),
    }),
};

/** A unit decides what its car is offered. */
function useInvalidateUnits() {
  const client = useQueryClient();
  return () =>
    Promise.all([['units'], ['releases'], ['notices']].map((queryKey) => client.invalidateQueries({ queryKey })));
}

export function useEnterUnit() {
  const onSuccess = useInvalidateUnits();
  return useMutation({
    mutationFn: (body: z.input<typeof createControlUnitRequest>) =>
      send('POST', '/control-units', { body, schema: controlUnitResponse }),
    onSuccess,
  });
}

export function useUpdateUnit(unitId: string) {
  const onSuccess = useInvalidateUnits();
  return useMutation({
    mutationFn: (body: z.input<typeof updateControlUnitRequest>) =>
      send('PATCH', unitPath(unitId), { body, schema: controlUnitResponse }),
    onSuccess,
  });
}

export function useReportFirmware(unitId: string) {
  const onSuccess = useInvalidateUnits();
  return useMutation({
    mutationFn: (body: z.input<typeof reportFirmwareRequest>) =>
      send('POST', `${unitPath(unitId)}/firmware`, { body, schema: controlUnitResponse }),
    onSuccess,
  });
}

export function useRecallUnits() {
  const onSuccess = useInvalidateUnits();
  return useMutation({
    mutationFn: (body: z.input<typeof recallUnitsRequest>) =>
      send('POST', '/control-units/recalls', { body, schema: unitRecall }),
    onSuccess,
  });
}

export function useSetUnitWait(applicationId: string) {
  const onSuccess = useInvalidateUnits();
  return useMutation({
    mutationFn: (waits: boolean) =>
      send('PUT', `/applications/${encodeURIComponent(applicationId)}/unit-wait`, {
        body: { waits },
        schema: unitQueueResponse,
      }),
    onSuccess,
  });
}
