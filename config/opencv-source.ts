/**
 * Rewrites the published source of opencv-wasm into one that can run anywhere.
 *
 * As published it picks up the process (listens to `uncaughtException`, which changes how every other error of the program
 * ends), builds functions from text (`new Function`, which a strict content security policy forbids) and has a `then` that
 * resolves to itself (`await cv` never ends). None of this is needed to run OpenCV, so each is replaced in the text, by
 * closures of the same meaning. Every replacement must be found exactly once: another version of the package is an error
 * at build time, never a silent miss.
 */

interface Replacement {
  /** First characters of the part to replace. */
  readonly from: string;
  /** Characters where the part ends; they stay. */
  readonly to: string;
  readonly by: string;
}

const INVOKER = `function craftInvokerFunction(humanName, argTypes, classType, cppInvokerFunc, cppTargetFunc) {
  var argCount = argTypes.length - 2;
  if (argCount < 0) throwBindingError("argTypes array size mismatch! Must at least get return value and 'this' types!");
  var isMethod = argTypes[1] !== null && classType !== null;
  return function () {
    if (arguments.length !== argCount) {
      throwBindingError("function " + humanName + " called with " + arguments.length + " arguments, expected " + argCount);
    }
    var destructors = [];
    var wired = [cppTargetFunc];
    try {
      if (isMethod) wired.push(argTypes[1].toWireType(destructors, this));
      for (var i = 0; i < argCount; ++i) wired.push(argTypes[i + 2].toWireType(destructors, arguments[i]));
      var returned = cppInvokerFunc.apply(null, wired);
    } finally {
      runDestructors(destructors);
    }
    return argTypes[0].name === "void" ? undefined : argTypes[0].fromWireType(returned);
  };
}
`;

const METHOD_CALLER = `function __emval_get_method_caller(argCount, argTypes) {
  var types = __emval_lookupTypes(argCount, argTypes);
  var retType = types[0];
  return __emval_addMethodCaller(function (handle, name, destructors, args) {
    var values = [];
    var offset = 0;
    for (var i = 1; i < argCount; ++i) {
      values.push(types[i].readValueFromPointer(args + offset));
      offset += types[i].argPackAdvance;
    }
    var returned = handle[name].apply(handle, values);
    for (var k = 1; k < argCount; ++k) if (types[k].deleteObject) types[k].deleteObject(values[k - 1]);
    return retType.isVoid ? undefined : retType.toWireType(destructors, returned);
  });
}
`;

const REPLACEMENTS: readonly Replacement[] = [
  // Neither Node nor web nor shell: whoever starts it hands over the compiled module, so it needs nothing from its host.
  { from: 'ENVIRONMENT_IS_WEB = typeof window === "object";', to: 'var scriptDirectory = "";', by: '' },
  { from: 'if (ENVIRONMENT_IS_NODE) {\n                    scriptDirectory', to: 'var out = Module["print"]', by: '' },
  {
    from: 'return new Function("body", "return function " + name',
    to: '}\n\n                function extendError',
    by: 'return { [name]: function () { return body.apply(this, arguments); } }[name];\n',
  },
  {
    from: 'var args = [];\n                        for (var i = 1; i < signature.length; ++i) {\n                            args.push("a" + i)',
    to: '}\n                    var fp;',
    by: 'return function () { return dynCall.apply(null, [rawFunction].concat(Array.prototype.slice.call(arguments))); };\n',
  },
  { from: 'function craftInvokerFunction(', to: 'function heap32VectorToArray(', by: INVOKER },
  { from: 'function __emval_get_method_caller(', to: 'function __emval_get_property(', by: METHOD_CALLER },
  {
    from: '} else if (ENVIRONMENT_IS_NODE) {\n                            try {\n                                var crypto_module',
    to: 'if (!random_device) {',
    by: '}\n',
  },
  { from: 'Module["then"] = function(func) {', to: 'function ExitStatus(status)', by: '' },
];

/** The part of the published file that makes the factory, between the module-format wrappers above and below it. */
const HEAD = 'return (\n            function(cv) {';
const TAIL = '        );\n    })();\n    if (typeof exports';

/** Text that must not survive: a host object touched, or code built from text. */
const FORBIDDEN = [
  'new Function(',
  'new_(Function',
  'eval(',
  'require(',
  'process["on"]',
  'Module["then"]',
  '"exit"](',
];

/**
 * The body of a function that returns the factory of OpenCV: `(options) => cv`, ready at once if `options.instantiateWasm`
 * instantiates synchronously. Valid as strict-mode code.
 *
 * @param published  The text of `opencv-wasm/opencv.js`, version 4.3.0-10.
 * @throws {Error}   If the text is not of that version.
 */
export function opencvFactorySource(published: string): string {
  const start = only(published, HEAD, 0) + HEAD.indexOf('function(cv)');
  let text = published.slice(start, only(published, TAIL, start));
  for (const { from, to, by } of REPLACEMENTS) {
    const begin = only(text, from, 0);
    const end = text.indexOf(to, begin);
    if (end < 0) throw new Error(`opencv-wasm: end of a known part not found: ${to}`);
    text = text.slice(0, begin) + by + text.slice(end);
  }
  for (const part of FORBIDDEN) {
    if (text.includes(part)) throw new Error(`opencv-wasm: a part that must be gone is still there: ${part}`);
  }
  return `var opencvWasmBinaryFile = "";\nreturn (${text});\n`;
}

/** The same as an ES module whose default export is the factory. */
export function opencvModuleSource(published: string): string {
  return `export default (function () {\n${opencvFactorySource(published)}})();\n`;
}

function only(text: string, part: string, from: number): number {
  const first = text.indexOf(part, from);
  if (first < 0) throw new Error(`opencv-wasm: a known part was not found: ${part}`);
  if (text.indexOf(part, first + 1) >= 0) throw new Error(`opencv-wasm: a known part was found twice: ${part}`);
  return first;
}
