/** SHA-256 of the made d6 for a seller on A4, from Node and browser alike; see report-forms.test.ts and its browser twin. */
export const MADE_PDF = '16a8f02c430000699ffb6ab974d6b2ae86991abff60f5577f65796b77ebbdda5';
