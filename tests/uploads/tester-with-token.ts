import { foundTernClub, type TernClub } from '../support/tern-club.ts';

/** A club whose tester has a token for sending drives. Its car has no signal map, so that logs wait unread. */
export async function testerWithToken(baseUrl: string): Promise<TernClub & { readonly token: string }> {
  const club = await foundTernClub(baseUrl);
  const { secret } = await club.tester.post<{ secret: string }>('/tokens', {
    name: 'uploader',
    scopes: ['upload'],
    days: 1,
  });
  return { ...club, token: secret };
}
