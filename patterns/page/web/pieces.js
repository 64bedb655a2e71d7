export class Pieces { constructor() {} enter() {} }
