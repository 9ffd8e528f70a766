import { uploadsResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { resource } from './resource.js';
import { discardUpload } from './upload-send.js';

export const uploadQueries = {
  /** Own uploads that the server knows of, and the room of the owner of a car. */
  list: (vehicleId: string | undefined) =>
    queryOptions({
      queryKey: ['uploads', { vehicleId }],
      ...resource('/uploads', uploadsResponse, { vehicle: vehicleId }),
    }),
};

export function useDiscardUpload() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: discardUpload,
    onSuccess: () => client.invalidateQueries({ queryKey: ['uploads'] }),
  });
}
