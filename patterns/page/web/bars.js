export class Bars { constructor() {} enter() {} }
