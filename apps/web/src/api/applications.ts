import {
  type ApplicationState,
  application,
  applicationForm,
  applicationPage,
  applicationReceived,
  type createApplicationRequest,
  type decideApplicationRequest,
  invitation,
  type recruitmentRequest,
  recruitmentResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { send } from './client.js';
import { resource, wholeList } from './resource.js';

export interface ApplicationFilter {
  state?: ApplicationState | undefined;
  platform?: string | undefined;
}

const applicationPath = (applicationId: string) => `/applications/${encodeURIComponent(applicationId)}`;

export const applicationQueries = {
  form: () =>
    queryOptions({
      queryKey: ['applications', 'form'],
      ...resource('/application-form', applicationForm),
    }),
  recruitment: () =>
    queryOptions({
      queryKey: ['applications', 'recruitment'],
      ...resource('/recruitment', recruitmentResponse),
    }),
  list: ({ state, platform }: ApplicationFilter) =>
    queryOptions({
      queryKey: ['applications', 'list', { state, platform }],
      ...wholeList('/applications', applicationPage, { state, platform }),
    }),
};

/** Sends the public form. Nobody is signed in, so that there is nothing to be forgotten. */
export function useApply() {
  return useMutation({
    mutationFn: (body: z.input<typeof createApplicationRequest>) =>
      send('POST', '/applications', { body, schema: applicationReceived }),
  });
}

function useInvalidateApplications() {
  const client = useQueryClient();
  return () => client.invalidateQueries({ queryKey: ['applications'] });
}

export function useChangeRecruitment() {
  return useMutation({
    mutationFn: (body: z.input<typeof recruitmentRequest>) =>
      send('PUT', '/recruitment', { body, schema: recruitmentResponse }),
    onSuccess: useInvalidateApplications(),
  });
}

export function useDecideApplication(applicationId: string) {
  return useMutation({
    mutationFn: (body: z.input<typeof decideApplicationRequest>) =>
      send('POST', `${applicationPath(applicationId)}/decision`, { body, schema: application }),
    onSuccess: useInvalidateApplications(),
  });
}

export function useInviteApplicant(applicationId: string) {
  return useMutation({
    mutationFn: () => send('POST', `${applicationPath(applicationId)}/invitation`, { schema: invitation }),
    onSuccess: useInvalidateApplications(),
  });
}

export function useRemoveApplication(applicationId: string) {
  return useMutation({
    mutationFn: () => send('DELETE', applicationPath(applicationId), { schema: z.undefined() }),
    onSuccess: useInvalidateApplications(),
  });
}
