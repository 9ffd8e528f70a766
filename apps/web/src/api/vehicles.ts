import {
  type createVehicleRequest,
  type decideDialectRequest,
  type installRequest,
  type LogFormat,
  type observeDialectRequest,
  type SignalMapDocument,
  signalMapResponse,
  updateVehicleRequest,
  type VehicleResponse,
  vehicleDialectResponse,
  vehiclePage,
  vehicleResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import type { z } from 'zod';
import { send } from './client.js';
import { resource, wholeList } from './resource.js';

const vehiclePath = (vehicleId: string) => `/vehicles/${encodeURIComponent(vehicleId)}`;

export const vehicleQueries = {
  list: () =>
    queryOptions({
      queryKey: ['vehicles', 'list'],
      ...wholeList('/vehicles', vehiclePage),
    }),
  one: (vehicleId: string) =>
    queryOptions({
      queryKey: ['vehicles', 'one', vehicleId],
      ...resource(vehiclePath(vehicleId), vehicleResponse),
    }),
  dialect: (vehicleId: string) =>
    queryOptions({
      queryKey: ['vehicles', 'dialect', vehicleId],
      ...resource(`${vehiclePath(vehicleId)}/dialect`, vehicleDialectResponse),
    }),
  signalMap: (vehicleId: string, format: LogFormat) =>
    queryOptions({
      queryKey: ['vehicles', 'signalMap', vehicleId, format],
      ...resource(`${vehiclePath(vehicleId)}/signal-map`, signalMapResponse, { format }),
    }),
};

/** What a change of a car can alter elsewhere: its own pages, its logs and the fleet figures. */
function useInvalidateVehicles() {
  const client = useQueryClient();
  return () =>
    Promise.all(
      [['vehicles'], ['logs'], ['fleet'], ['calibrations']].map((queryKey) => client.invalidateQueries({ queryKey })),
    );
}

export function useCreateVehicle() {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (body: z.input<typeof createVehicleRequest>) =>
      send('POST', '/vehicles', { body, schema: vehicleResponse }),
    onSuccess: invalidate,
  });
}

/** Alters the profile of a car. The whole profile is sent, so that what was not altered stays as the person saw it. */
export function useUpdateVehicle(vehicle: VehicleResponse) {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (change: z.input<typeof updateVehicleRequest>) =>
      send('PATCH', vehiclePath(vehicle.id), {
        body: { ...updateVehicleRequest.parse(vehicle), ...change },
        schema: vehicleResponse,
      }),
    onSuccess: invalidate,
  });
}

export function useInstallRevision(vehicleId: string) {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (body: z.input<typeof installRequest>) =>
      send('POST', `${vehiclePath(vehicleId)}/installations`, { body, schema: vehicleResponse }),
    onSuccess: invalidate,
  });
}

export function useObserveDialect(vehicleId: string) {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (body: z.input<typeof observeDialectRequest>) =>
      send('POST', `${vehiclePath(vehicleId)}/observations`, { body, schema: vehicleResponse }),
    onSuccess: invalidate,
  });
}

export function useDecideDialect(vehicleId: string) {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (body: z.input<typeof decideDialectRequest>) =>
      send('POST', `${vehiclePath(vehicleId)}/dialect/decisions`, { body, schema: vehicleDialectResponse }),
    onSuccess: invalidate,
  });
}

/** Saves how files of one format are read. */
export function useSaveSignalMap(vehicleId: string, format: LogFormat) {
  const invalidate = useInvalidateVehicles();
  return useMutation({
    mutationFn: (body: SignalMapDocument) =>
      send('PUT', `${vehiclePath(vehicleId)}/signal-map?format=${format}`, { body, schema: signalMapResponse }),
    onSuccess: invalidate,
  });
}
