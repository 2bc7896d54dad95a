import fc from 'fast-check';

// The same cases in every run, whichever file comes first: a gate that fails by chance tells nothing about the change it judges. Shrinking is left
// out, as the checks by trial of all directions would keep it busy for minutes.
fc.configureGlobal({ seed: 1, endOnFailure: true });
