import { uploadsResponse } from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { get } from './client.js';
import { discardUpload } from './upload-send.js';

export const uploadQueries = {
  /** Own uploads that the server knows of, and the room of the owner of a car. */
  list: (vehicleId: string | undefined) =>
    queryOptions({
      queryKey: ['uploads', { vehicleId }],
      queryFn: ({ signal }) => get('/uploads', uploadsResponse, { query: { vehicle: vehicleId }, signal }),
    }),
};

export function useDiscardUpload() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: discardUpload,
    onSuccess: () => client.invalidateQueries({ queryKey: ['uploads'] }),
  });
}
