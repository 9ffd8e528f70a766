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
import { send } from './client.js';
import { resource } from './resource.js';

const unitPath = (unitId: string) => `/control-units/${encodeURIComponent(unitId)}`;

export interface UnitMake {
  hardware?: string | undefined;
  firmware?: string | undefined;
}

export const unitQueries = {
  list: () =>
    queryOptions({
      queryKey: ['units', 'list'],
      ...resource('/control-units', controlUnitsResponse),
    }),
  one: (unitId: string) =>
    queryOptions({
      queryKey: ['units', 'one', unitId],
      ...resource(unitPath(unitId), controlUnitResponse),
    }),
  affected: ({ hardware, firmware }: UnitMake) =>
    queryOptions({
      queryKey: ['units', 'affected', hardware, firmware],
      ...resource('/control-units/affected', affectedResponse, { hardware, firmware }),
    }),
  recalls: () =>
    queryOptions({
      queryKey: ['units', 'recalls'],
      ...resource('/control-units/recalls', unitRecallsResponse),
    }),
  queue: () =>
    queryOptions({
      queryKey: ['units', 'queue'],
      ...resource('/control-units/queue', unitQueueResponse),
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
