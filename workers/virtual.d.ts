declare module 'virtual:opencv' {
  const factory: import('../src/vision/cv-door.ts').CvFactory;
  export default factory;
}
