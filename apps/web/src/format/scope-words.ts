import type { TokenScope } from '@syncline/contract';

/** What a token may be made for, and what that means. */
export const SCOPE_WORDS: Record<TokenScope, { readonly title: string; readonly meaning: string }> = {
  upload: {
    title: 'Send drives',
    meaning: 'Uploads drives for the cars that you see, and reads those cars and drives.',
  },
  read: { title: 'Read', meaning: 'Reads whatever your role may read, and changes nothing.' },
  all: { title: 'Everything', meaning: 'Does whatever your role may do. It cannot sign in or make other tokens.' },
};
