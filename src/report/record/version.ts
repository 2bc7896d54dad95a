/** Version of this software as its reports state it: that of package.json, which a test holds. */
export const VERSION = '0.1.0';
